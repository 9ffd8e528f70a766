import type { Store } from '@syncline/store';

export interface Readiness {
  readonly isReady: boolean;
  /** What keeps the server from its work, in words for who runs it. */
  readonly faults: readonly string[];
}

/** Whether database, disk and workers can do their work. Nothing is written. */
export function checkReadiness({
  store,
  minFreeBytes,
  workerFault,
}: {
  readonly store: Store;
  readonly minFreeBytes: number;
  /** Why no thread can be counted on; undefined while all is well. */
  readonly workerFault: () => string | undefined;
}): Readiness {
  const faults: string[] = [];
  try {
    store.checkWritable();
    const { freeBytes } = store.status();
    if (freeBytes < minFreeBytes) {
      faults.push(`${freeBytes} bytes are free on the disk, ${minFreeBytes} must stay: uploads are refused`);
    }
  } catch (error) {
    faults.push(`the data folder cannot be written: ${error instanceof Error ? error.message : String(error)}`);
  }
  const fault = workerFault();
  if (fault !== undefined) faults.push(`a worker thread failed: ${fault}`);
  return { isReady: faults.length === 0, faults };
}
