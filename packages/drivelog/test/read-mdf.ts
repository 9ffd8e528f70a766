import { inflateSync } from 'node:zlib';
import {
  createMdfReader,
  type Inflate,
  inspectMdf,
  type MdfReaderOptions,
  memoryAccess,
  type ReadFindings,
  type SignalMap,
} from '../src/index.js';

export const inflate: Inflate = (bytes, outputSize) =>
  new Uint8Array(inflateSync(bytes, { maxOutputLength: Math.max(1, outputSize) }));

export interface WholeMdf {
  readonly timeS: number[];
  readonly signals: Record<string, number[]>;
  readonly batchLengths: number[];
  readonly findings: ReadFindings;
}

export function inspectBytes(bytes: Uint8Array) {
  return inspectMdf(memoryAccess(bytes), inflate);
}

export function readMdf(bytes: Uint8Array, map: SignalMap, options: Partial<MdfReaderOptions> = {}): WholeMdf {
  const reader = createMdfReader(memoryAccess(bytes), { map, inflate, ...options });
  const batches = [...reader.batches()];
  const signals: Record<string, number[]> = {};
  for (const batch of batches) {
    for (const [id, values] of Object.entries(batch.signals)) signals[id] = [...(signals[id] ?? []), ...values];
  }
  return {
    timeS: batches.flatMap(({ timeS }) => [...timeS]),
    signals,
    batchLengths: batches.map(({ timeS }) => timeS.length),
    findings: reader.findings(),
  };
}
