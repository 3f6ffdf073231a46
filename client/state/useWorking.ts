import { onScopeDispose, shallowRef, type Ref } from 'vue'

/** A figure as its mark names it. */
export interface OpenedFigure {
  figure: string
  of: string
  index: number
  /** Steps it is rounded to where it stands; undefined: as usual. */
  step: number | undefined
  /** Orders that it is of, where those have a name; undefined: the moved ones, or else those in force. */
  orders: string | undefined
}

/** Which figure of the page is open. Heard before anything else: a mark in a row does not choose the row. */
export function useWorking(): { opened: Ref<OpenedFigure | undefined>; close: () => void } {
  const opened = shallowRef<OpenedFigure>()

  function press(event: Event) {
    const mark = event.target instanceof Element ? event.target.closest<HTMLElement>('[data-working]') : null
    if (mark === null) return
    event.stopPropagation()
    // A pointer leaves the focus where it is: in the entry line.
    if (event.type === 'mousedown') event.preventDefault()
    else {
      const { working = '', of = '', index = 0, step = 0 } = mark.dataset
      const named = mark.closest<HTMLElement>('[data-orders]')?.dataset['orders']
      // Empty on what is of the moved orders amid what is in force.
      const orders = named === '' ? undefined : named
      opened.value = { figure: working, of, index: Number(index), step: Number(step), orders }
    }
  }
  const HEARD = ['mousedown', 'click']
  for (const type of HEARD) document.addEventListener(type, press, true)
  onScopeDispose(() => {
    for (const type of HEARD) document.removeEventListener(type, press, true)
  })

  return {
    opened,
    close: () => {
      opened.value = undefined
    }
  }
}
