/* What is opened on the board, by a key or a word: in one, so that whoever has opened any of it has all of it without contact. */
export { default as ClockForm } from './ClockForm.vue'
export { default as HelpSheet } from './HelpSheet.vue'
export { default as LogSheet } from './LogSheet.vue'
export { default as OrderList } from './OrderList.vue'
export { default as OrderSheet } from './OrderSheet.vue'
export { default as ShipActions } from './ShipActions.vue'
