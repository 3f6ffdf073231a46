import { FUEL_GRADES, MASS_UNITS } from '../../contracts/kinds.ts'
import type { Column } from '../table.ts'
import { choice, needed, optional } from './make.ts'

const minutes = 'minutes: 1.5'
const UNIT_WORDS = { lbs: 'lb', pounds: 'lb', pound: 'lb', kgs: 'kg', kilograms: 'kg', kilogram: 'kg' }

/** One row: the event and the rules that hold for all of it. */
export const EVENT: readonly Column[] = [
  needed('name', 'Event', 'name', 'what the event is called', 'name; event name; exercise'),
  needed('opensAtMs', 'Opens', 'opening', 'date and time, UTC: 2030-03-04 12:00Z', 'opening; opens at; start; date'),
  needed('massUnit', 'Unit', 'choice', 'lb or kg', 'mass unit; fuel unit', choice(MASS_UNITS, UNIT_WORDS)),
  needed('fuelGrade', 'Fuel grade', 'choice', FUEL_GRADES.join(', '), 'grade; fuel', choice(FUEL_GRADES)),
  needed('fuelDensity', 'Fuel density', 'density', '0.802 kg/L or 6.69 lb/USgal', 'density'),
  needed('rules.windFromDeg', 'Wind from', 'bearing', 'degrees true: 285', 'wind direction; wind dir'),
  needed('rules.windSpeed', 'Wind speed', 'speed', '38 kt', 'wind'),
  needed('rules.landingReserve', 'Landing reserve', 'reserve', '12 min; 14 % not below 1100 lb', 'reserve'),
  needed('rules.jokerAllowance', 'Joker allowance', 'quantity', 'above bingo: 900 lb', 'joker'),
  needed('rules.hookUpBoomMin', 'Hook-up, boom', 'minutes', minutes, 'hook up boom'),
  needed('rules.hookUpDrogueMin', 'Hook-up, drogue', 'minutes', minutes, 'hook up drogue'),
  needed('rules.changeoverWithinFlightMin', 'Changeover within a flight', 'minutes', minutes, 'changeover'),
  needed('rules.changeoverBoomMin', 'Changeover between flights, boom', 'minutes', minutes, 'changeover boom'),
  needed('rules.changeoverDrogueMin', 'Changeover between flights, drogue', 'minutes', minutes, 'changeover drogue'),
  optional('rules.methodChangeMin', 'Method change', 'minutes', 'where stations exclude each other: 5'),
  needed('rules.reformMin', 'Reform', 'minutes', 'last disconnect to push: 1.5', 'reform before push'),
  needed('rules.lateMarginMin', 'Late margin', 'minutes', minutes, 'margin'),
  needed('rules.staleAfterMin', 'Call is old after', 'minutes', minutes, 'stale after')
]
