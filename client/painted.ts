/** Settles once what is on the page now is painted: two frames later. A page that nobody sees has none. */
export const painted = (): Promise<void> =>
  new Promise((done) =>
    requestAnimationFrame(() =>
      requestAnimationFrame(() => {
        done()
      })
    )
  )
