import { statfsSync } from 'node:fs';

/** File-system magic numbers (Linux, statfs(2)) of network and bridged mounts, where SQLite's locks cannot be trusted. */
const UNSAFE_FILE_SYSTEMS: ReadonlyMap<number, string> = new Map([
  [0x6969, 'NFS'],
  [0x517b, 'SMB'],
  [0xff534d42, 'CIFS'],
  [0xfe534d42, 'SMB2'],
  [0x01021997, '9p'],
  [0x65735546, 'FUSE'],
  [0x786f4256, 'a folder shared by a virtual machine'],
]);

/** Why the folder may be unsafe for a database, in words; null when nothing can be noticed. */
export function folderWarning(folder: string): string | null {
  const name = UNSAFE_FILE_SYSTEMS.get(statfsSync(folder).type >>> 0);
  return name === undefined
    ? null
    : `The data folder lies on ${name}. Network and bridged folders can corrupt the database: use a local disk.`;
}

/** Bytes that this process may still write to the disk of the folder. */
export function freeBytes(folder: string): number {
  const { bavail, bsize } = statfsSync(folder);
  return bavail * bsize;
}
