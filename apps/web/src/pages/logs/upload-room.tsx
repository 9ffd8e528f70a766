import type { UploadRoom } from '@syncline/contract';
import { formatBytes } from '../../format/quantity.js';

/** Room that is left (bytes) beside what is stored and announced; never below zero. */
export function roomLeft({ storedBytes, pendingBytes, quotaBytes }: UploadRoom): number {
  return Math.max(0, quotaBytes - storedBytes - pendingBytes);
}

/** What the drives of a person take and may take. */
export function UploadRoomLine({ room }: { readonly room: UploadRoom }) {
  const { storedBytes, pendingBytes, quotaBytes, maxFileBytes } = room;
  return (
    <>
      {formatBytes(storedBytes)} of {formatBytes(quotaBytes)} are taken
      {pendingBytes > 0 && `, ${formatBytes(pendingBytes)} more by unfinished uploads`}. A file may have up to{' '}
      {formatBytes(maxFileBytes)}.
    </>
  );
}
