/** Rows of one page of the list of shifts: the most that the server gives at once. */
export const SHIFT_PAGE_SIZE = 100;
