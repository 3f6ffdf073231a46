/*
 * Going from mark to mark of a picture by keys: one of them is in the tab order, the arrows go to its neighbours, Enter
 * opens its working.
 */

const marksOf = (picture: Element): HTMLElement[] => [...picture.querySelectorAll<HTMLElement>('[data-mark]')]

/** One mark is in the tab order: the one that had the focus last, else the first. */
export function keepOne(picture: Element): void {
  const marks = marksOf(picture)
  const one = marks.find((mark) => mark.getAttribute('tabindex') === '0') ?? marks[0]
  for (const mark of marks) mark.setAttribute('tabindex', mark === one ? '0' : '-1')
}

/** What a key does to the mark that has the focus; false where it does nothing. */
export function pressKey(picture: Element, from: HTMLElement, key: string): boolean {
  if (key === 'Enter' || key === ' ') {
    from.dispatchEvent(new MouseEvent('click', { bubbles: true, cancelable: true }))
    return true
  }
  const to = markBy(marksOf(picture), from, key)
  if (to === undefined) return false
  from.setAttribute('tabindex', '-1')
  to.setAttribute('tabindex', '0')
  to.focus()
  return true
}

function markBy(marks: readonly HTMLElement[], from: HTMLElement, key: string): HTMLElement | undefined {
  const place = marks.indexOf(from)
  switch (key) {
    case 'ArrowRight':
      return marks[place + 1]
    case 'ArrowLeft':
      return marks[place - 1]
    case 'Home':
      return marks[0]
    case 'End':
      return marks.at(-1)
    case 'ArrowDown':
      return rowBeyond(marks.slice(place + 1), from)
    case 'ArrowUp':
      return rowBeyond(marks.slice(0, Math.max(0, place)).reverse(), from)
    default:
      return undefined
  }
}

/** Of the next row that is another one, the mark that stands nearest above or below. */
function rowBeyond(marks: readonly HTMLElement[], from: HTMLElement): HTMLElement | undefined {
  const rowOf = (mark: HTMLElement) => mark.dataset['row'] ?? ''
  const first = marks.find((mark) => rowOf(mark) !== rowOf(from))
  if (first === undefined) return undefined
  const middle = (mark: HTMLElement) => {
    const { left, width } = mark.getBoundingClientRect()
    return left + width / 2
  }
  const off = (mark: HTMLElement) => Math.abs(middle(mark) - middle(from))
  return marks.filter((mark) => rowOf(mark) === rowOf(first)).toSorted((a, b) => off(a) - off(b))[0]
}
