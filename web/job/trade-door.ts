// What the staff's page knows of the trade besides the views: numbers with units, and red words of the edition.
// The homeowner's page hands in nothing, so none of the engine is shipped there.
import { createContext } from 'preact'
import { useContext } from 'preact/hooks'

export type TradeDoor = {
  /** A number of a verdict in the shop's units. */
  readonly format: ((quantity: string, si: number) => string) | undefined
  /** Red flags that the words may mean: asked about, never taken. */
  readonly redWords: (text: string) => readonly string[]
}

const FEW_RED_WORDS =
  /\b(smok\w*|burn(t|ing)|fire|flames?|spark\w*|shock\w*|tingl\w*|zap\w*|prickl\w*|electrocut\w*|flood\w*|submerged|trapped|drown\w*|stuck|faint\w*|unconscious|dizzy|vomit\w*|fumes?|gas|lightning|thunder)\b/i

export const plainDoor: TradeDoor = {
  format: undefined,
  redWords: (text) => (FEW_RED_WORDS.test(text) ? ['?'] : []),
}

export const TradeContext = createContext<TradeDoor>(plainDoor)

export function useTrade(): TradeDoor {
  return useContext(TradeContext)
}
