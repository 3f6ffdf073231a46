/** Leads to the one on-load from elsewhere; apart from its other words, so that no page that only leads there loads them. */
export const ON_LOAD_LINK = 'One on-load: one ship on one station'
