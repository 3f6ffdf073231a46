import { dropDrafts } from './plan/shelf.ts'

/** Takes away all that this browser keeps under a link: who it is, calls, slots, drafts. Nothing in it reads them any more. */
export async function forget(as: string): Promise<void> {
  for (const store of [() => localStorage, () => sessionStorage]) forgetIn(store, as)
  await dropDrafts(as)
}

function forgetIn(open: () => Storage, as: string): void {
  try {
    const store = open()
    const keys = Array.from({ length: store.length }, (_, at) => store.key(at) ?? '')
    for (const key of keys) if (isOf(as, key, store.getItem(key))) store.removeItem(key)
  } catch {
    // A browser that keeps nothing has nothing to forget.
  }
}

/** Every key names the link it is under, but for the one of the page that was open last. */
const isOf = (as: string, key: string, value: string | null): boolean =>
  key.startsWith('ullage ') && (key.split(' ').includes(as) || value?.startsWith(`/as/${as}/`) === true)
