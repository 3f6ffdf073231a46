/*
 * What moving by hand takes: the moves, and the picture of a moved order, seen at once on the page itself. No part of the
 * first load: nothing is moved before the first picture is there.
 */
export { estimate } from '../shared/live/estimate.ts'
export { changedOrders } from '../shared/propose/orders.ts'
export * from './order.ts'
