/** Identifier of a frame in hexadecimal, three digits standard and eight extended, as in captures. */
export function identifierText(identifier: number, isExtended: boolean): string {
  return identifier
    .toString(16)
    .toUpperCase()
    .padStart(isExtended ? 8 : 3, '0');
}
