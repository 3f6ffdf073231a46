/* What may stand at the entry line, but not with the first picture: fetched in one as soon as that is there. */
export { default as AskNext } from './AskNext.vue'
export { default as KeptCalls } from './KeptCalls.vue'
export { default as PendingOrder } from './PendingOrder.vue'
