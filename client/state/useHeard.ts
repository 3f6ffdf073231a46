import { ref, watch, type Ref } from 'vue'

/** Whether this browser makes a sound, and whether it speaks, when something new needs attention. */
export interface Heard {
  sound: Ref<boolean>
  spoken: Ref<boolean>
}

const KEY = 'ullage-heard'

/** Both off until somebody wants them; kept by the browser, which may refuse. */
export function useHeard(): Heard {
  const kept = read()
  const sound = ref(kept.includes('sound'))
  const spoken = ref(kept.includes('spoken'))
  watch([sound, spoken], () => {
    const on = [...(sound.value ? ['sound'] : []), ...(spoken.value ? ['spoken'] : [])]
    try {
      localStorage.setItem(KEY, on.join(' '))
    } catch {
      // It holds until the page is closed.
    }
  })
  return { sound, spoken }
}

function read(): string[] {
  try {
    return (localStorage.getItem(KEY) ?? '').split(' ')
  } catch {
    return []
  }
}
