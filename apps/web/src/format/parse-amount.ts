const NUMBER = /^[+−-]?(\d+([.,]\d*)?|[.,]\d+)$/;

/** A typed number, with a point or a comma before its decimals; undefined for anything else. */
export function parseAmount(text: string): number | undefined {
  const tidy = text.trim();
  if (!NUMBER.test(tidy)) return undefined;
  return Number(tidy.replace('−', '-').replace(',', '.'));
}
