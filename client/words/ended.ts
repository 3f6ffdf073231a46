/** Said when the link of the page opens nothing any more. */
export const ENDED = {
  open: 'This link has ended: nothing comes in and nothing is recorded under it. What is shown is as it was known last.',
  closed: 'This link has ended, or was never opened in this browser: there is nothing to see under it.',
  mend: 'Open a new link, or this one again if it was renewed: calls kept here under it go out then. Tell what cannot wait by radio.',
  look: 'Look again'
} as const
