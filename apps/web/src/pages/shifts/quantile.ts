/**
 * The value below which a share of the values lies, by linear interpolation between order statistics (type 7 of
 * Hyndman and Fan 1996, The American Statistician 50(4)). Null without values. O(n log n).
 * @example quantile([1, 2, 3, 4], 0.5) // 2.5
 */
export function quantile(values: readonly number[], share: number): number | null {
  if (values.length === 0) return null;
  const sorted = [...values].sort((a, b) => a - b);
  const position = share * (sorted.length - 1);
  const below = Math.floor(position);
  const low = sorted[below] as number;
  const high = sorted[Math.min(below + 1, sorted.length - 1)] as number;
  return low + (high - low) * (position - below);
}
