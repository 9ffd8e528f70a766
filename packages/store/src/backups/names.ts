/** The folder of a backup taken at an instant, e.g. `2026-03-01T09-00-00Z`: no file system minds it, and it sorts by age. */
export function backupName(takenAtMs: number): string {
  return `${new Date(takenAtMs).toISOString().slice(0, 19).replaceAll(':', '-')}Z`;
}

/** The instant that a folder name stands for; undefined for any other folder. */
export function instantOfName(name: string): number | undefined {
  const parts = /^(\d{4}-\d\d-\d\dT\d\d)-(\d\d)-(\d\d)Z$/.exec(name);
  const atMs = parts ? Date.parse(`${parts[1]}:${parts[2]}:${parts[3]}Z`) : Number.NaN;
  return Number.isNaN(atMs) ? undefined : atMs;
}
