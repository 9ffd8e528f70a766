import { uploadOverDroppingLink } from './dropping-upload.ts';

const MIB = 1024 ** 2;
const SIZE_BYTES = 1024 * MIB;
const CUT_AFTER_BYTES = 10 * MIB;
/** What the server may have resident at its highest. */
const MEMORY_LIMIT_BYTES = 300 * MIB;

/** Sends one gibibyte over a link that breaks every ten mebibytes, and says what that took. Ends with 1 when it failed. */
const result = await uploadOverDroppingLink({ sizeBytes: SIZE_BYTES, cutAfterBytes: CUT_AFTER_BYTES });
const isIntact = result.keptSha256 === result.sentSha256 && result.logs.length === 1 && result.exitCode === 0;
const isBounded = result.peakMemoryBytes < MEMORY_LIMIT_BYTES;
const mib = (bytes: number) => `${Math.round(bytes / MIB)} MiB`;
console.log(
  [
    `sent ${mib(SIZE_BYTES)} in ${result.uploadS.toFixed(0)} s; the link broke ${result.cutCount} times`,
    `intact: ${isIntact ? 'yes' : 'NO'} (SHA-256 sent ${result.sentSha256}, kept ${result.keptSha256})`,
    `memory of the server: ${mib(result.idleMemoryBytes)} before, ${mib(result.peakMemoryBytes)} at its highest; ` +
      `${isBounded ? 'below' : 'NOT below'} ${mib(MEMORY_LIMIT_BYTES)}`,
  ].join('\n'),
);
if (!isIntact) console.log(result.output);
process.exitCode = isIntact && isBounded ? 0 : 1;
