/**
 * What a thread needs of the data folder that reads and writes files there and asks nothing of the database: a way in of
 * its own, so that such a thread starts without all that questions are asked with.
 */
export type { OriginalFile } from './blobs/original-file.js';
export { readOriginal } from './blobs/original-file.js';
export { spoolToFile } from './blobs/spool.js';
export { moveWriteLog } from './database/move-write-log.js';
export { createSignalWriter } from './signals/create-signal-writer.js';
export { StoreError } from './store-error.js';
