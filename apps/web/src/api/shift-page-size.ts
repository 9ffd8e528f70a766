/** Rows of one page of the list of shifts: a few windows full. */
export const SHIFT_PAGE_SIZE = 100;
