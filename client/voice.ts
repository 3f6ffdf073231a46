/** The browser's own voice; never the only sign. */

/** A little slower than talk: it is written down by hand. */
const RATE = 0.95

export const canSpeak = (): boolean => 'speechSynthesis' in globalThis

/** Says a line by itself: what was being said before stops. `after` is called when it is over, or was stopped. */
export function speak(text: string, after: () => void = () => undefined): void {
  if (!canSpeak()) {
    after()
    return
  }
  speechSynthesis.cancel()
  const line = new SpeechSynthesisUtterance(text)
  line.lang = 'en'
  line.rate = RATE
  line.onend = after
  line.onerror = after
  speechSynthesis.speak(line)
}

export function stopSpeaking(): void {
  if (canSpeak()) speechSynthesis.cancel()
}
