import { ref } from 'vue'

const asked = ref(false)
const done = ref(false)

/** Whether it is asked to leave this device, and whether that was done: one for the whole page. */
export const useSignOut = () => ({
  asked,
  done,
  ask: () => {
    asked.value = true
  }
})
