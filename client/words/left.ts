export const LEFT = {
  title: 'On their way to a base',
  ship: 'ship',
  base: 'to',
  arrives: 'arrives',
  due: 'due',
  fuel: 'fuel now',
  onArrival: 'on arrival',
  low: 'safe side',
  runsOut: 'runs out before',
  reserve: 'approach and reserve',
  margin: 'margin to reserve',
  unknown: 'unknown',
  landed: 'Landed',
  landedOf: (ship: string) => `${ship} landed`
} as const
