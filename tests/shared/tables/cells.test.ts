import { describe, expect, it } from 'vitest'
import { cellText, readCell } from '../../../shared/tables/cell.ts'
import { columnOf } from '../../../shared/tables/columns.ts'
import { readFigure, type Sight } from '../../../shared/tables/figure.ts'
import {
  instantText,
  readInstant,
  readOpening,
  readWindowOpening,
  windowOpeningText
} from '../../../shared/tables/instant.ts'
import { listOf, listText } from '../../../shared/tables/list.ts'
import { commasRead, commaStyle, readNumber, type CommaStyle } from '../../../shared/tables/number.ts'
import { minutesText, positionText, readPosition } from '../../../shared/tables/position.ts'
import type { Reading } from '../../../shared/tables/wrong.ts'
import { chance, OPENS_AT_MS } from './made.ts'

const value = <T>(reading: Reading<T>): T | string => ('value' in reading ? reading.value : reading.wrong.message)
const iso = (text: string, opensAt = '2030-03-04T12:00:00Z'): string => {
  const read = readInstant(text, Date.parse(opensAt))
  return 'value' in read ? new Date(read.value).toISOString() : 'refused'
}

describe('a time', () => {
  it.each([
    // The first such instant not before the opening.
    ['1432', '2030-03-04T14:32:00.000Z'],
    ['14:32', '2030-03-04T14:32:00.000Z'],
    ['1432Z', '2030-03-04T14:32:00.000Z'],
    ['14:32:20z', '2030-03-04T14:32:20.000Z'],
    ['1200', '2030-03-04T12:00:00.000Z'],
    ['1159', '2030-03-05T11:59:00.000Z'],
    ['0005', '2030-03-05T00:05:00.000Z'],
    // A sheet takes the nought in front away.
    ['905', '2030-03-05T09:05:00.000Z'],
    ['50905', '2030-03-05T09:05:00.000Z'],
    // With the day of the month.
    ['041432', '2030-03-04T14:32:00.000Z'],
    ['051432Z', '2030-03-05T14:32:00.000Z'],
    ['05 1432Z', '2030-03-05T14:32:00.000Z'],
    ['111159', '2030-03-11T11:59:00.000Z'],
    // Dates of their own.
    ['2030-03-01T09:00Z', '2030-03-01T09:00:00.000Z'],
    ['2030-03-04 14:32:20.5', '2030-03-04T14:32:20.500Z'],
    ['051432ZMAR30', '2030-03-05T14:32:00.000Z'],
    ['051432Z MAR 2030', '2030-03-05T14:32:00.000Z'],
    ['5 Mar 2030 14:32Z', '2030-03-05T14:32:00.000Z']
  ])('%s is understood as %s', (text, instant) => {
    expect(iso(text)).toBe(instant)
  })

  it.each([
    '2400',
    '2460',
    '25:10',
    '45',
    '5',
    '321200',
    '001200',
    '2030-02-30 12:00',
    '2030-13-01 12:00',
    'noon',
    '12.30',
    '2030-03-04T13:05+01:00',
    '1:30 PM',
    ''
  ])('%s cannot be placed', (text) => {
    expect(iso(text)).toBe('refused')
  })

  it('passes over midnight, the ends of months and of the year', () => {
    expect(iso('0010', '2030-03-04T23:50:00Z')).toBe('2030-03-05T00:10:00.000Z')
    expect(iso('2350', '2030-03-04T23:50:00Z')).toBe('2030-03-04T23:50:00.000Z')
    expect(iso('2349', '2030-03-04T23:50:00Z')).toBe('2030-03-05T23:49:00.000Z')
    expect(iso('0010', '2030-12-31T23:50:00Z')).toBe('2031-01-01T00:10:00.000Z')
    expect(iso('010010', '2030-12-31T23:50:00Z')).toBe('2031-01-01T00:10:00.000Z')
    expect(iso('290900', '2032-02-25T12:00:00Z')).toBe('2032-02-29T09:00:00.000Z')
    expect(iso('010900', '2030-02-27T12:00:00Z')).toBe('2030-03-01T09:00:00.000Z')
  })

  it.each([
    ['041159', '2030-03-04T12:00:00Z', 'Write 2030-03-04 11:59Z or 2030-04-04 11:59Z.'],
    ['031432', '2030-03-04T12:00:00Z', 'Write 2030-03-03 14:32Z or 2030-04-03 14:32Z.'],
    // April has no 31st: the next month that has one.
    ['310900', '2030-04-10T12:00:00Z', 'Write 2030-03-31 09:00Z or 2030-05-31 09:00Z.'],
    ['290900', '2030-01-30T12:00:00Z', 'Write 2030-01-29 09:00Z or 2030-03-29 09:00Z.'],
    ['311200', '2030-12-31T12:00:01Z', 'Write 2030-12-31 12:00Z or 2031-01-31 12:00Z.']
  ])('%s far from an opening at %s is asked back', (text, opensAt, mend) => {
    const read = readInstant(text, Date.parse(opensAt))
    expect('wrong' in read && read.wrong.message).toMatch(/^the next such day is \d\d days after the event opens$/)
    expect('wrong' in read && read.wrong.mend).toBe(mend)
  })

  it('is told in a form that reads back to the same millisecond, for 20,000 of them', () => {
    const random = chance(7)
    for (let count = 0; count < 20_000; count++) {
      const opensAtMs = OPENS_AT_MS + Math.floor(random() * 4e10)
      const steps = [1, 1000, 60_000]
      const step = steps[count % 3] ?? 1
      const atMs = Math.round((opensAtMs + (random() - 0.2) * 10 ** (5 + random() * 6)) / step) * step
      const text = instantText(atMs, opensAtMs)
      expect(value(readInstant(text, opensAtMs)), text).toBe(atMs)
    }
  })

  it('of the opening has its date, and without an opening a time of day waits', () => {
    expect(value(readOpening('2030-03-04 12:00Z'))).toBe(OPENS_AT_MS)
    expect('wrong' in readOpening('1200')).toBe(true)
    const waits = readInstant('1200', undefined)
    expect('wrong' in waits && waits.wrong.lacking).toBe(true)
    expect(value(readInstant('2030-03-04 12:00Z', undefined))).toBe(OPENS_AT_MS)
  })
})

describe('when a window opens', () => {
  const at = (text: string) => Date.parse(text.replace(' ', 'T'))
  /* The window that covers the event, or else the next one: the hours of an airfield are printed so, no source. */
  it.each([
    // Opening of the event, as typed, closing, as understood.
    ['2031-06-11 09:00Z', '0800Z', '2031-06-11 22:00Z', '2031-06-11 08:00Z'],
    ['2031-06-11 09:00Z', '0600', '2031-06-12 06:00Z', '2031-06-12 06:00Z'],
    ['2031-06-11 09:00Z', '2200', '2031-06-12 06:00Z', '2031-06-11 22:00Z'],
    ['2031-06-11 23:00Z', '2200', '2031-06-12 06:00Z', '2031-06-11 22:00Z'],
    ['2031-06-11 23:00Z', '0600', '2031-06-12 22:00Z', '2031-06-12 06:00Z'],
    ['2031-06-11 09:00Z', '0800', '2031-06-12 08:30Z', '2031-06-12 08:00Z'],
    ['2031-06-11 09:00Z', '1130', undefined, '2031-06-11 11:30Z'],
    // A day of the month is the nearest one, though the event opens later.
    ['2031-06-11 09:00Z', '100600Z', undefined, '2031-06-10 06:00Z'],
    ['2031-06-11 09:00Z', '120600Z', undefined, '2031-06-12 06:00Z'],
    ['2031-01-01 09:00Z', '311800Z', '2031-01-01 22:00Z', '2030-12-31 18:00Z'],
    ['2031-06-11 09:00Z', '2031-05-01 06:00Z', undefined, '2031-05-01 06:00Z']
  ])('for an event from %s on, %s until %s is %s', (opensAt, text, closesAt, instant) => {
    const window = { opensAtMs: at(opensAt), closesAtMs: closesAt === undefined ? undefined : at(closesAt) }
    expect(value(readWindowOpening(text, window))).toBe(at(instant))
  })

  it('is asked back where it may be of two days, and where it is far off', () => {
    const mend = (text: string) => {
      const read = readWindowOpening(text, { opensAtMs: at('2031-06-11 09:00Z') })
      return 'wrong' in read ? read.wrong.mend : read.value
    }
    expect(mend('0800Z')).toBe('Write 2031-06-11 08:00Z or 2031-06-12 08:00Z, or say when it closes.')
    expect(mend('250600')).toBe('Write 2031-05-25 06:00Z or 2031-06-25 06:00Z.')
    expect(mend('2560')).toBe('Write 1432, 281432 for the 28th, or 2030-11-28 14:32Z.')
  })

  it('is told in a form that reads back to the same instant, for 20,000 windows', () => {
    const random = chance(23)
    let dated = 0
    for (let count = 0; count < 20_000; count++) {
      const opensAtMs = OPENS_AT_MS + Math.floor(random() * 4e8) * 60_000
      const near = () => opensAtMs + Math.round((random() - 0.5) * 10 ** (2 + random() * 3)) * 60_000
      const window = { opensAtMs, closesAtMs: count % 3 === 0 ? undefined : near() }
      const atMs = near()
      const text = windowOpeningText(atMs, window)
      if (text.length > 8) dated += 1
      expect(value(readWindowOpening(text, window)), text).toBe(atMs)
    }
    expect(dated).toBeLessThan(4_000)
  })
})

describe('a position', () => {
  const at = (text: string): string => {
    const read = readPosition(text)
    return 'value' in read ? `${read.value.latitudeDeg.toFixed(5)} ${read.value.longitudeDeg.toFixed(5)}` : 'refused'
  }

  /* One place in the three forms of ISO 6709 annex H, the examples from memory: degrees, minutes, seconds. */
  it('is one place in degrees, in minutes and in seconds', () => {
    expect(at('40.20361 -75.00417')).toBe('40.20361 -75.00417')
    expect(at('4012.2166N 07500.2502W')).toBe('40.20361 -75.00417')
    expect(at('401213.0N 0750015.0W')).toBe('40.20361 -75.00417')
    expect(at('40 12 13.0N 75 00 15.0W')).toBe('40.20361 -75.00417')
  })

  it.each([
    '44 09.0N 155 24.0W',
    "N44°09.0' W155°24.0'",
    '4409.0N 15524.0W',
    '44-09.0N 155-24.0W',
    "44° 9.0' N, 155° 24.0' W",
    '44.15 -155.4',
    '44.15, -155.4',
    '44.15N 155.4W',
    'n44.15 w155.4',
    '44°09′00″N 155°24′00″W',
    '+44.15 −155.4',
    '44,15 -155,4'
  ])('is understood from %s', (text) => {
    expect(value(readPosition(text))).toEqual({ latitudeDeg: 44.15, longitudeDeg: -155.4 })
  })

  it.each([
    '',
    '44.15',
    'north',
    '-155.6 45.35',
    '91 10',
    '44 60.0N 155 24.0W',
    '44N 181W',
    '15524.0W 4409.0N',
    '44.5.1 20',
    '44 09.0 155 24.0',
    '441N 10E',
    'N44 E'
  ])('is refused: %s', (text) => {
    expect(at(text)).toBe('refused')
  })

  it('is told in a form that reads back to the very same', () => {
    const random = chance(3)
    for (let count = 0; count < 5_000; count++) {
      const position = {
        latitudeDeg: (random() - 0.5) * 180 * 10 ** -Math.floor(random() * 9),
        longitudeDeg: (random() - 0.5) * 360
      }
      expect(value(readPosition(positionText(position)))).toEqual(position)
    }
    expect(positionText({ latitudeDeg: 44.15, longitudeDeg: -155.4 })).toBe('44.15N 155.4W')
  })

  it('is told in degrees and minutes to read, carried over into the next degree', () => {
    expect(minutesText({ latitudeDeg: 44.15, longitudeDeg: -155.4 })).toBe("44°09.0'N 155°24.0'W")
    expect(minutesText({ latitudeDeg: -0.99999, longitudeDeg: 5.0001 })).toBe("01°00.0'S 005°00.0'E")
  })
})

describe('a figure', () => {
  const sight: Sight = { massUnit: 'lb', opensAtMs: OPENS_AT_MS }
  const fuel = (text: string, more: Partial<Sight> = {}) => {
    const read = readFigure(text, { kind: 'quantity' }, { ...sight, ...more })
    return 'value' in read ? `${String(read.value.value)} ${read.value.unit}` : 'refused'
  }

  it.each([
    ['12500', '12500 lb'],
    ['12,500', '12500 lb'],
    ['12 500', '12500 lb'],
    ['12\u00a0500', '12500 lb'],
    ['12\u202f500 kg', '12500 kg'],
    ["12'500", '12500 lb'],
    ['12,500.5', '12500.5 lb'],
    ['1,234,567', '1234567 lb'],
    ['12.500,5', '12500.5 lb'],
    ['4,5 lb', '4.5 lb'],
    ['4.5 lb', '4.5 lb'],
    ['104,5', '104.5 lb'],
    ['100', '100 lb'],
    ['99', '99 lb'],
    ['0', '0 lb'],
    ['.9 kg', '0.9 kg'],
    ['1e3', '1000 lb'],
    ['340 US gal', '340 USgal'],
    ['340USgal', '340 USgal'],
    ['1150 litres', '1150 L'],
    ['10200 lbs', '10200 lb'],
    ['10200LB', '10200 lb'],
    ['+7', '7 lb']
  ])('%s is %s', (text, figure) => {
    expect(fuel(text)).toBe(figure)
  })

  it.each([
    '',
    'lb',
    '12,50,0',
    '1 2',
    '12 50',
    '10200 gal',
    '5 kt',
    '5 lb/h',
    '1.2.3',
    '--5',
    '12 500 5',
    '0x10',
    'NaN',
    '5 5 lb'
  ])('%s is none', (text) => {
    expect(fuel(text)).toBe('refused')
  })

  it('takes the unit of its heading before that of the event, and its own before both', () => {
    expect(fuel('4500', { massUnit: 'kg' })).toBe('4500 kg')
    expect(fuel('4500', { unit: 'USgal' })).toBe('4500 USgal')
    expect(fuel('4500 lb', { unit: 'USgal', massUnit: 'kg' })).toBe('4500 lb')
    expect(fuel('4500', { massUnit: undefined })).toBe('refused')
  })

  it.each([
    [['10200,5', '10,300'], 'comma'],
    [['10200.5', '10,300'], 'point'],
    [['12,500', '9,700'], 'open'],
    [['1.234,5', '12'], 'comma'],
    [['1,234.5', '4,5'], 'point'],
    [['1,234,567'], 'point'],
    [['0,500'], 'comma']
  ] as const)('%j shows commas of the style %s', (texts, style) => {
    expect(commaStyle(texts)).toBe(style)
  })

  it.each([
    [['12,500 lb', '9700', '8,100'], 'open', [{ as: 'thousands', text: '12,500', value: '12500' }]],
    [['1,234,567.5'], 'point', [{ as: 'thousands', text: '1,234,567.5', value: '1234567.5' }]],
    [['10200,5 kg', '9900,25'], 'comma', [{ as: 'decimals', text: '10200,5', value: '10200.5' }]],
    [
      ['12,500', '4,5'],
      'open',
      [
        { as: 'thousands', text: '12,500', value: '12500' },
        { as: 'decimals', text: '4,5', value: '4.5' }
      ]
    ],
    // Refused: nothing of it was read.
    [['10,300'], 'comma', []],
    [['Alder, Kelp', '4500', 'full'], 'open', []]
  ] as const)('%j, style %s: its commas are told as they were read', (texts, style, told) => {
    expect(commasRead(texts, style)).toEqual(told)
  })

  it('with a comma or point before three digits is refused where others have decimal commas', () => {
    const said = (text: string, style: CommaStyle) => value(readNumber(text, style))
    expect(said('10,300', 'open')).toBe(10_300)
    expect(said('10,300', 'point')).toBe(10_300)
    expect(said('10,300', 'comma')).toMatch(/thousands, or decimals/)
    expect(said('10.300', 'comma')).toMatch(/thousands, or decimals/)
    expect(said('10200,5', 'comma')).toBe(10_200.5)
    expect(said('10200,5', 'point')).toMatch(/decimal comma/)
  })

  /* Points between thousands: common practice in half of the world, no source. */
  it('of fuel with a point before three digits is refused, until other figures show what points are', () => {
    expect(fuel('22.500')).toBe('refused')
    expect(fuel('122.500', { style: 'point' })).toBe('122.5 lb')
    for (const column of [columnOf('tankers', 'burn'), columnOf('receiverTypes', 'weighing.zeroFuel')])
      expect(value(readCell('22.500', column, sight))).toBe('22,500 or 22.5?')
    const read = readFigure('22.500 kg', { kind: 'quantity' }, sight)
    expect('wrong' in read && read.wrong.mend).toBe('Write 22500 or 22.5.')
    const exact = readFigure('4.125', { kind: 'quantity' }, sight)
    expect('wrong' in exact && exact.wrong.mend).toBe('Write 4125 or 4.1250.')
    expect(['22.50 lb', '22.5000 lb', '0.125 lb', '1234.567', '1,234.567'].map((text) => fuel(text))).not.toContain(
      'refused'
    )
    expect(value(readCell('1.500 lb', columnOf('route', 'onLoad'), sight))).toBe('1,500 or 1.5?')
    expect(value(readCell('1.500 lb', columnOf('event', 'rules.landingReserve'), sight))).toBe('1,500 or 1.5?')
  })

  /* 10.2 for 10,200: common practice, no source. */
  it('of fuel with decimals and no unit is asked back below a hundred, as it may be meant in thousands', () => {
    const mend = (text: string, more: Partial<Sight> = {}) => {
      const read = readCell(text, columnOf('ships', 'startFuel'), { ...sight, ...more })
      return 'wrong' in read ? read.wrong.mend : 'taken'
    }
    expect(mend('10.2')).toBe('Write 10,200, or 10.2 lb with its unit.')
    expect(mend('10,20')).toBe('Write 10,200, or 10.2 lb with its unit.')
    expect(mend('6,4', { style: 'comma', massUnit: 'kg' })).toBe('Write 6400, or 6.4 kg with its unit.')
    expect(mend('6.4125')).toBe('Write 6,412.5, or 6.4125 lb with its unit.')
    expect(['10.2 lb', '100', '0', '10200'].map((text) => mend(text))).toEqual(Array(4).fill('taken'))
    expect(mend('10.2', { unit: 'lb' })).toBe('taken')
    for (const [table, name] of [
      ['receiverTypes', 'approachFuel'],
      ['receiverTypes', 'weighing.zeroFuel'],
      ['tankers', 'burn'],
      ['route', 'onLoad'],
      ['event', 'rules.jokerAllowance']
    ] as const)
      expect(value(readCell('9.7', columnOf(table, name), sight))).toMatch(/^9\.7 lb.* thousands may be meant$/)
  })

  it('of a whole load is asked back without decimals too', () => {
    const said = (table: 'ships' | 'tankers' | 'route', name: string, text: string) =>
      value(readCell(text, columnOf(table, name), sight))
    expect(said('ships', 'startFuel', '10')).toMatch(/^10 lb is so little/)
    expect(said('tankers', 'fuelOnStation', '146')).toMatch(/^146 lb is so little/)
    expect(said('tankers', 'mostTransferable', '97')).toMatch(/^97 lb is so little/)
    expect(said('route', 'onLoad', '3')).toMatch(/^3 lb is so little/)
    expect(said('ships', 'startFuel', '10 lb')).toEqual({ value: 10, unit: 'lb' })
  })

  it('that cannot be thousands keeps its point: a density, a speed, minutes, a factor', () => {
    expect(value(readCell('0.802', columnOf('event', 'fuelDensity'), sight))).toEqual({ value: 0.802, unit: 'kg/L' })
    expect(value(readCell('6.693 lb/US gal', columnOf('event', 'fuelDensity'), sight))).toMatchObject({ value: 6.693 })
    expect(value(readCell('38.125', columnOf('event', 'rules.windSpeed'), sight))).toMatchObject({ value: 38.125 })
    expect(value(readCell('1.125', columnOf('event', 'rules.reformMin'), sight))).toBe(1.125)
    expect(value(readCell('1.085', columnOf('tankGroups', 'dragFactor'), sight))).toBe(1.085)
  })

  it('is told so that it reads back: three digits behind a point get a nought', () => {
    const column = columnOf('ships', 'startFuel')
    expect(cellText({ value: 4.125, unit: 'lb' }, column, sight)).toBe('4.1250 lb')
    expect(value(readCell('4.1250 lb', column, sight))).toEqual({ value: 4.125, unit: 'lb' })
    const random = chance(17)
    for (let count = 0; count < 5_000; count++) {
      const figure = { value: Number((random() * 10 ** (count % 5)).toFixed(3)), unit: count % 2 ? 'lb' : 'USgal' }
      expect(value(readCell(cellText(figure, column, sight), column, sight))).toEqual(figure)
    }
  })

  it('of minutes, degrees and flows has its own units', () => {
    const cell = (table: 'event' | 'tankers' | 'stations', column: string, text: string) =>
      value(readCell(text, columnOf(table, column), sight))
    expect(cell('event', 'rules.reformMin', '90 s')).toBe(1.5)
    expect(cell('event', 'rules.reformMin', '1,5')).toBe(1.5)
    expect(cell('event', 'rules.reformMin', '1.5 min')).toBe(1.5)
    expect(cell('event', 'rules.windFromDeg', '285°')).toBe(285)
    expect(cell('event', 'rules.windFromDeg', '285 deg')).toBe(285)
    expect(cell('event', 'fuelDensity', '6.69 lb/US gal')).toEqual({ value: 6.69, unit: 'lb/USgal' })
    expect(cell('tankers', 'burn', '9,700')).toEqual({ value: 9700, unit: 'lb/h' })
    expect(cell('tankers', 'burn', '9,700 pph')).toEqual({ value: 9700, unit: 'lb/h' })
    expect(cell('tankers', 'burn', '9,700 lbs/hr')).toEqual({ value: 9700, unit: 'lb/h' })
    expect(cell('stations', 'maxRate', '3300')).toEqual({ value: 3300, unit: 'lb/min' })
    expect(cell('stations', 'maxRate', '270 US gal per min')).toEqual({ value: 270, unit: 'USgal/min' })
  })
})

describe('a rule', () => {
  const sight: Sight = { massUnit: 'lb', opensAtMs: OPENS_AT_MS }
  const column = columnOf('event', 'rules.landingReserve')
  const reserve = (text: string) => value(readCell(text, column, sight))

  it('for fuel on landing is read from words and told in them', () => {
    expect(reserve('12 min')).toEqual({ kind: 'minutes', holdingMin: 12 })
    expect(reserve('1100 lb')).toEqual({ kind: 'fixed', fuel: { value: 1100, unit: 'lb' } })
    expect(reserve('18 % at control points')).toEqual({ kind: 'rendezvous', sharePercent: 18 })
    expect(reserve('14% not below 500 kg')).toEqual({
      kind: 'share',
      sharePercent: 14,
      floor: { value: 500, unit: 'kg' }
    })
    const two = reserve('12 min; 14 % at least 1,100 lb')
    expect(two).toMatchObject({ kind: 'greatest', of: [{ kind: 'minutes' }, { kind: 'share' }] })
    expect(cellText(two, column, sight)).toBe('greatest of: 12 min; 14 % not below 1100 lb')
    expect(reserve('plenty')).toMatch(/no rule/)
    expect(reserve('14 %')).toMatch(/no rule/)
  })

  it('for fuel on landing without its unit is asked back: it may be minutes, or fuel', () => {
    for (const [text, mend] of [
      ['30', 'Write 30 min or 30 lb.'],
      ['1100', 'Write 1100 min or 1100 lb.'],
      ['12 min; 20', 'Write 20 min or 20 lb.']
    ] as const) {
      const read = readCell(text, column, sight)
      expect('wrong' in read && [read.wrong.message, read.wrong.mend]).toEqual([
        'minutes or fuel, the figure does not say',
        mend
      ])
    }
    const headed = (text: string, unit: string) => value(readCell(text, column, { ...sight, unit }))
    expect(headed('30', 'min')).toEqual({ kind: 'minutes', holdingMin: 30 })
    expect(headed('1100', 'kg')).toEqual({ kind: 'fixed', fuel: { value: 1100, unit: 'kg' } })
    expect(headed('14 % not below 1100', 'min')).toMatchObject({ floor: { value: 1100, unit: 'lb' } })
  })

  it('of an on-load is a word or an amount', () => {
    const onLoad = (text: string) => value(readCell(text, columnOf('route', 'onLoad'), sight))
    expect(onLoad('Required')).toEqual({ kind: 'required' })
    expect(onLoad('2,700')).toEqual({ kind: 'fixed', fuel: { value: 2700, unit: 'lb' } })
    expect(onLoad('fixed 1200 kg')).toEqual({ kind: 'fixed', fuel: { value: 1200, unit: 'kg' } })
    expect(onLoad('plenty')).toMatch(/no rule/)
  })
})

describe('a list', () => {
  it.each([[['Adze Field', 'Elder Strip']], [['a;b', 'say "now"', 'none']], [['x']], [[]]])(
    '%j reads back',
    (items) => {
      expect(listOf(listText(items))).toEqual(items)
    }
  )
  it('passes over blanks between semicolons', () => {
    expect(listOf(' Adze Field ;; Elder Strip; ')).toEqual(['Adze Field', 'Elder Strip'])
  })
})
