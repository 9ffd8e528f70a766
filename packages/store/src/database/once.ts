/** Makes a thing at its first use: to put a query together takes as long as to run it. */
export function once<T>(make: () => T): () => T {
  let made: T | undefined;
  return () => (made ??= make());
}
