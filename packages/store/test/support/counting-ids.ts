/** Ids that rise, as the real ones do. */
export function countingIds(from = 0): () => string {
  let count = from;
  return () => `id-${String(++count).padStart(8, '0')}`;
}
