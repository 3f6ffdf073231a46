/** A tank may give nothing and take nothing at once. */
export type TankTrouble = 'not giving' | 'not taking' | 'neither' | 'gone'

/** Whether the engines can have what is in a tank with this trouble. */
export const gives = (trouble: TankTrouble | undefined): boolean => trouble === undefined || trouble === 'not taking'
