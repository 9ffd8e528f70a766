import { z } from 'zod';
import { fileName, hash, id, instant } from './common.js';

/** First bytes of a file whose hash tells it from others of its name and size. */
export const UPLOAD_HEAD_BYTES = 65_536;

/** Header of an answer that says which log an upload has become. */
export const UPLOAD_LOG_HEADER = 'syncline-log';

/** What `Upload-Metadata` says when an upload is begun by the tus protocol. */
export const uploadMetadata = z.object({
  vehicle: id,
  fileName,
  drivenAt: instant.optional(),
  revision: id.optional().describe('what the car ran; else what is installed at that time'),
  sha256: hash.optional().describe('of the whole file'),
  head: hash.optional().describe(`of the first ${UPLOAD_HEAD_BYTES} bytes, or of all when there are fewer`),
});

/** `receiving` until every byte is there and checked; `done` has a log; `refused` says why and keeps nothing. */
export const UPLOAD_STATES = ['receiving', 'done', 'refused'] as const;
/** Another log of the same car that holds the same bytes, packed otherwise: their shifts count twice. */
export const twinLog = z.object({ id, fileName: z.string() });

export const upload = z.object({
  id,
  vehicleId: id,
  vehicleTitle: z.string(),
  fileName: z.string(),
  sizeBytes: z.number().int(),
  receivedBytes: z.number().int(),
  drivenAt: instant.nullable(),
  revisionId: id.nullable(),
  sha256: hash.nullable(),
  head: hash.nullable(),
  state: z.enum(UPLOAD_STATES),
  logId: id.nullable(),
  isDuplicate: z.boolean().describe('whether the bytes were here before'),
  twin: twinLog.nullable(),
  problem: z.object({ code: z.string(), detail: z.string(), remedy: z.string() }).nullable(),
  createdAt: instant,
  expiresAt: instant.describe('forgotten then, unless more bytes come'),
});
export type Upload = z.infer<typeof upload>;

/** What the originals for the cars of one person take and may take (bytes as sent). */
export const uploadRoom = z.object({
  storedBytes: z.number().int(),
  pendingBytes: z.number().int().describe('announced by uploads under way'),
  quotaBytes: z.number().int(),
  maxFileBytes: z.number().int(),
});
export type UploadRoom = z.infer<typeof uploadRoom>;

export const uploadListQuery = z.object({
  vehicle: id.optional().describe('only uploads for this car, and the room of its owner'),
});
export const uploadsResponse = z.object({ items: z.array(upload), room: uploadRoom });
export type UploadsResponse = z.infer<typeof uploadsResponse>;

/** Asks which files of a car are here already, before a byte of them is sent. */
export const knownLogsRequest = z.object({ vehicle: id, sha256: z.array(hash).min(1).max(200) });
export const knownLogsResponse = z.object({
  items: z.array(z.object({ sha256: hash, logId: id, fileName: z.string() })),
});
