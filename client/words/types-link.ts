/** The link to the type sheets, apart from their words: it stands on pages that load first. */
export const TYPES_LINK = 'Type sheets: tanks, figures, and what each figure rests on'
