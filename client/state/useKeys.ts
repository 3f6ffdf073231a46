import { onScopeDispose } from 'vue'
import { DISRUPTION_KEYS, type DisruptionName } from '../disruption.ts'

export interface Keys {
  /** Letters and digits always go to the entry line. */
  type: () => void
  step: (by: -1 | 1) => void
  move: (by: -1 | 1) => void
  moveAcross: (by: -1 | 1) => void
  accept: () => void
  pin: () => void
  landed: () => void
  /** Function keys that browsers leave free. */
  suggest: () => void
  attend: () => void
  list: () => void
  print: () => void
  /** What was recorded, and by whom. */
  log: () => void
  /** Withdraws the last own entry: Ctrl Z, while the line is empty. */
  undo: () => void
  /** Alt with a letter. */
  disrupt: (name: DisruptionName) => void
  escape: () => void
  /** Plain arrows act only while the entry line is empty. */
  lineIsEmpty: () => boolean
}

const TYPED_ELSEWHERE = new Set(['INPUT', 'SELECT', 'TEXTAREA'])

/** The board's keys: few, and each is a word in the entry line too. */
export function useKeys(keys: Keys): void {
  const withAlt: Readonly<Record<string, () => void>> = {
    ArrowUp: () => {
      keys.move(-1)
    },
    ArrowDown: () => {
      keys.move(1)
    },
    ArrowLeft: () => {
      keys.moveAcross(-1)
    },
    ArrowRight: () => {
      keys.moveAcross(1)
    },
    Enter: keys.accept,
    KeyP: keys.pin,
    KeyZ: keys.landed,
    ...Object.fromEntries(
      Object.entries(DISRUPTION_KEYS).map(([code, name]) => [
        code,
        () => {
          keys.disrupt(name)
        }
      ])
    )
  }
  const plain: Readonly<Record<string, () => void>> = {
    ArrowUp: () => {
      keys.step(-1)
    },
    ArrowDown: () => {
      keys.step(1)
    }
  }
  const functions: Readonly<Record<string, () => void>> = {
    F2: keys.suggest,
    F4: keys.list,
    F7: keys.log,
    F8: keys.print,
    F9: keys.attend
  }

  const isElsewhere = (): boolean =>
    document.activeElement?.closest('[data-entry]') === null && TYPED_ELSEWHERE.has(document.activeElement.tagName)

  function press(event: KeyboardEvent) {
    if (event.isComposing) return
    if (event.ctrlKey || event.metaKey) {
      // While something is typed, the browser takes back what was typed.
      if (event.key.toLowerCase() !== 'z' || event.shiftKey || event.altKey || !keys.lineIsEmpty() || isElsewhere())
        return
      event.preventDefault()
      keys.undo()
      return
    }
    // With Alt some keyboards type another letter: what counts is the key's place.
    const alt = withAlt[event.key] ?? withAlt[event.code]
    const act = event.altKey ? alt : (functions[event.key] ?? (keys.lineIsEmpty() ? plain[event.key] : undefined))
    const elsewhere = isElsewhere()
    if (event.key === 'Escape') keys.escape()
    else if (act !== undefined && (event.altKey || !elsewhere)) {
      event.preventDefault()
      act()
    } else if (!event.altKey && /^[\p{L}\p{N}?]$/u.test(event.key) && !elsewhere) keys.type()
  }

  document.addEventListener('keydown', press)
  onScopeDispose(() => {
    document.removeEventListener('keydown', press)
  })
}
