/*
 * The one shape of a working: what went in and where it came from, the rule, the arithmetic line by line, the result.
 * Quantities are SI; an instant is event time in ms, and counts in seconds inside an expression.
 */
import type { AbortWhy } from '../contracts/kinds.ts'

export type QuantityKind = 'mass' | 'flow' | 'span' | 'instant' | 'speed' | 'distance' | 'factor' | 'count'

/** kg, kg/s, s, ms of event time, m/s, m, 1, 1. */
export interface Quantity {
  readonly kind: QuantityKind
  readonly value: number
}

/** As a person typed or said it. */
export interface Typed {
  readonly value: number
  readonly unit: string
}

export type Source =
  | { readonly from: 'sheet' | 'plan' | 'assumed'; readonly typed?: Typed | undefined }
  | {
      readonly from: 'called' | 'by hand'
      readonly atMs: number
      readonly seq: number
      readonly typed?: Typed | undefined
    }
  | { readonly from: 'computed' | 'clock' }

export const SHEET: Source = { from: 'sheet' }
export const PLAN: Source = { from: 'plan' }
export const ASSUMED: Source = { from: 'assumed' }
export const COMPUTED: Source = { from: 'computed' }
export const CLOCK: Source = { from: 'clock' }

export const OPERATIONS = ['add', 'subtract', 'multiply', 'divide', 'greatest', 'least', 'growth'] as const

/** `growth` of x is e to the x, less 1: burn of a ship that grows lighter as it burns. */
export type Expression =
  | { readonly input: number }
  | { readonly line: number }
  | { readonly number: number }
  | { readonly operation: (typeof OPERATIONS)[number]; readonly of: readonly Expression[] }

export interface Input {
  /** Key into the words. */
  readonly name: string
  /** Id or name of what it is of: a phase, a tank group, a ship, a base. */
  readonly about?: string | undefined
  readonly quantity: Quantity
  readonly source: Source
}

export interface Line {
  readonly name: string
  readonly about?: string | undefined
  readonly expression: Expression
  readonly result: Quantity
}

export interface Working {
  /** Key into the words. */
  readonly rule: string
  readonly inputs: readonly Input[]
  readonly lines: readonly Line[]
  /** That of the last line. */
  readonly result: Quantity
  /** Why another abort base than the first of the track counts. */
  readonly because?: Because
}

export interface Because {
  readonly why: AbortWhy
  readonly baseId: string
  readonly firstBaseId: string
}

const operation =
  (name: (typeof OPERATIONS)[number]) =>
  (...of: readonly Expression[]): Expression => ({ operation: name, of })
export const add = operation('add')
export const subtract = operation('subtract')
export const multiply = operation('multiply')
export const divide = operation('divide')
export const greatest = operation('greatest')
export const least = operation('least')
export const growth = operation('growth')
export const NONE: Expression = { number: 0 }

/** A quantity as it counts in an expression: kg, kg/s, s, m/s, m. */
const counted = ({ kind, value }: Quantity): number => (kind === 'instant' ? value / 1000 : value)

/**
 * The value of an expression, instants and spans in s, masses in kg.
 * @throws RangeError when it names an input or a line that is not there.
 */
export function valueOf(expression: Expression, inputs: readonly Input[], lines: readonly Line[]): number {
  const of = (quantity: Quantity | undefined, place: number): number => {
    if (quantity === undefined) throw new RangeError(`an expression names ${place}, which is not there`)
    return counted(quantity)
  }
  if ('input' in expression) return of(inputs[expression.input]?.quantity, expression.input)
  if ('line' in expression) return of(lines[expression.line]?.result, expression.line)
  if ('number' in expression) return expression.number
  const [first = 0, ...rest] = expression.of.map((part) => valueOf(part, inputs, lines))
  switch (expression.operation) {
    case 'add':
      return rest.reduce((sum, value) => sum + value, first)
    case 'subtract':
      return rest.reduce((left, value) => left - value, first)
    case 'multiply':
      return rest.reduce((product, value) => product * value, first)
    case 'divide':
      return rest.reduce((left, value) => left / value, first)
    case 'greatest':
      return Math.max(first, ...rest)
    case 'least':
      return Math.min(first, ...rest)
    case 'growth':
      return Math.expm1(first)
  }
}

/** A working being written. What it gives back stands for the input or line in later expressions. */
export class Paper {
  private readonly inputs: Input[] = []
  private readonly lines: Line[] = []
  private reason: Because | undefined

  /** The same thing from the same place is written once. */
  input(name: string, kind: QuantityKind, value: number, source: Source, about?: string): Expression {
    const had = this.inputs.findIndex(
      (one) =>
        one.name === name && one.about === about && one.quantity.value === value && one.source.from === source.from
    )
    if (had >= 0) return { input: had }
    this.inputs.push({ name, about, quantity: { kind, value }, source })
    return { input: this.inputs.length - 1 }
  }

  /** A line of arithmetic; where the model has a value of its own for it, that is what it must come to. */
  line(name: string, kind: QuantityKind, expression: Expression, about?: string, modelled?: number): Expression {
    const value = this.value(expression)
    const result = modelled ?? (kind === 'instant' ? value * 1000 : value)
    this.lines.push({ name, about, expression, result: { kind, value: result } })
    return { line: this.lines.length - 1 }
  }

  because(because: Because): void {
    this.reason = because
  }

  value(expression: Expression): number {
    return valueOf(expression, this.inputs, this.lines)
  }

  done(rule: string): Working | undefined {
    const last = this.lines.at(-1)
    if (!last) return undefined
    const working = { rule, inputs: this.inputs, lines: this.lines, result: last.result }
    return this.reason ? { ...working, because: this.reason } : working
  }
}
