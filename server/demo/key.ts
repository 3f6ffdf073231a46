/** Calls back when the key is pressed in the terminal; what it gives ends the listening. Without a terminal, nothing. */
export function onKey(key: string, pressed: () => void): () => void {
  const { stdin } = process
  if (!stdin.isTTY) return () => undefined
  const heard = (typed: Buffer): void => {
    const text = typed.toString()
    // A raw terminal hands over what it would have made a signal of.
    if (text.includes('\u0003')) process.kill(process.pid, 'SIGINT')
    else if (text.toLowerCase().includes(key)) pressed()
  }
  stdin.setRawMode(true)
  stdin.on('data', heard)
  stdin.unref()
  return () => {
    stdin.off('data', heard)
    stdin.setRawMode(false)
    stdin.pause()
  }
}
