/** A quiet tone; never the only sign. */
const TONE_S = 0.18
/** Of full volume. */
const LOUD = 0.06
const TONE_HZ = 523

let tones: AudioContext | undefined

/** One quiet tone; two for what is urgent. A browser that lets no sound out before a touch stays silent. */
export function quietTone(urgent: boolean): void {
  if (!('AudioContext' in globalThis)) return
  tones ??= new AudioContext()
  for (let turn = 0; turn < (urgent ? 2 : 1); turn += 1) tone(tones, tones.currentTime + turn * TONE_S * 1.5)
}

function tone(context: AudioContext, fromS: number): void {
  const source = context.createOscillator()
  const level = context.createGain()
  source.frequency.value = TONE_HZ
  // Swells and fades: a bare start would click.
  level.gain.setValueAtTime(0, fromS)
  level.gain.linearRampToValueAtTime(LOUD, fromS + TONE_S / 4)
  level.gain.linearRampToValueAtTime(0, fromS + TONE_S)
  source.connect(level).connect(context.destination)
  source.start(fromS)
  source.stop(fromS + TONE_S)
}
