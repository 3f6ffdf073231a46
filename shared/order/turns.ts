/**
 * The most of some things that stand in rising turn, not necessarily side by side, in the order given; of equals the run
 * that was longest first. Which ones, where `longestRising` of judgement.ts counts them.
 * Checked: tests/shared/order/turns.test.ts, against every choice (constructed).
 */
export function longestInTurn<Thing>(things: readonly Thing[], turnOf: (thing: Thing) => number): Thing[] {
  const runs: Thing[][] = []
  for (const thing of things) {
    let before: Thing[] = []
    for (const run of runs) {
      const last = run.at(-1)
      if (last !== undefined && turnOf(last) < turnOf(thing) && run.length > before.length) before = run
    }
    runs.push([...before, thing])
  }
  return runs.reduce<Thing[]>((most, run) => (run.length > most.length ? run : most), [])
}
