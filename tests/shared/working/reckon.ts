import type { Expression, Quantity, Working } from '../../../shared/working/paper.ts'

/* The arithmetic of a working, done again by the test's own means. */
const CLOSE = 1e-6

/** Seconds, kilograms: as a reader with a pencil takes them. */
export const plain = (quantity: Quantity | undefined): number => {
  if (!quantity) throw new Error('an expression names what does not stand above it')
  return quantity.kind === 'instant' ? quantity.value / 1000 : quantity.value
}

/** What an expression comes to by what stands above it. */
export function reckon(expression: Expression, working: Working, upTo: number): number {
  if ('input' in expression) return plain(working.inputs[expression.input]?.quantity)
  if ('line' in expression) return plain(expression.line < upTo ? working.lines[expression.line]?.result : undefined)
  if ('number' in expression) return expression.number
  const parts = expression.of.map((part) => reckon(part, working, upTo))
  switch (expression.operation) {
    case 'add':
      return parts.reduce((a, b) => a + b)
    case 'subtract':
      return parts.reduce((a, b) => a - b)
    case 'multiply':
      return parts.reduce((a, b) => a * b)
    case 'divide':
      return parts.reduce((a, b) => a / b)
    case 'greatest':
      return Math.max(...parts)
    case 'least':
      return Math.min(...parts)
    case 'growth':
      return Math.exp(parts[0] ?? NaN) - 1
  }
}

/** Instants of event time stand in some 1.9e9 s, of which a double keeps 2.4e-7. */
export const near = (a: number, b: number): boolean =>
  Math.abs(a - b) <= CLOSE + 4e-16 * Math.max(Math.abs(a), Math.abs(b))
