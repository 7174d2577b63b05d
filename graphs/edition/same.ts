// Whether two pieces of plain data say the same, whatever the order of their keys: a released file sorts them, a fresh one does not.
// What the difference means is diff.ts.

export function isSame(one: unknown, other: unknown): boolean {
  if (one === other) return true
  if (typeof one !== 'object' || typeof other !== 'object' || one === null || other === null) return false
  if (Array.isArray(one) !== Array.isArray(other)) return false
  const [fields, others] = [fieldsOf(one), fieldsOf(other)]
  return (
    fields.length === others.length && fields.every(([name, value]) => name in other && isSame(value, other[name as keyof typeof other]))
  )
}

/** A field that is undefined is not there: JSON does not keep it. */
function fieldsOf(value: object): [string, unknown][] {
  return Object.entries(value).filter(([, field]) => field !== undefined)
}
