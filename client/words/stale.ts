/** What another has changed meanwhile. */
export const STALE = {
  placed: (ship: string, station: string, place: number) => `${ship} is now number ${String(place)} at ${station}`,
  gone: (ship: string) => `${ship} is gone from it`,
  changed: (told: { tanker: string; by: string; at: string; places: readonly string[]; more: number }) => {
    const { tanker, by, at, places, more } = told
    const moved = [...places, ...(more > 0 ? [`${String(more)} more moved`] : [])].join(', ')
    return `${tanker} was changed by ${by} at ${at}${moved === '' ? '' : `: ${moved}`}.`
  }
} as const
