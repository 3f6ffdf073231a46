import { lowered, raised, type Figure } from './drain.ts'
import { type Sheet, type TankState } from './sheet.ts'

/**
 * The state moved so that its gauge would show the figure: down in feed order, up against it, never above capacity.
 * An internal figure moves internal groups alone, externals stay as carried. Figures include unusable fuel, kg.
 * @throws RangeError when the figure is negative or not a number.
 * Checked: tests/shared/tanks/reading.test.ts.
 */
export function withReading(sheet: Sheet, state: TankState, figure: Figure): TankState {
  return raised(sheet, lowered(sheet, state, figure), figure)
}
