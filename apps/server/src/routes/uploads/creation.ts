import { uploadMetadata } from '@syncline/contract';
import type { Upload } from '@syncline/store';
import { Metadata } from '@tus/server';
import { problem } from '../../problem-error.js';
import type { ResumableClaim } from '../../services/resumable-uploads.js';
import { toInstant } from '../format.js';

/** What the headers that begin an upload say of its file. */
export function claimOf(headers: {
  readonly 'upload-length': string;
  readonly 'upload-metadata': string;
}): ResumableClaim {
  const parsed = uploadMetadata.safeParse(parseMetadata(headers['upload-metadata']));
  if (!parsed.success) {
    const fields = parsed.error.issues.map(({ path, message }) => ({
      path: ['headers', 'upload-metadata', ...path].join('.'),
      message,
    }));
    throw problem('request.invalid', {
      detail: fields.map(({ path, message }) => `${path}: ${message}`).join('; '),
      fields,
    });
  }
  const { vehicle, fileName, drivenAt, revision, sha256, head } = parsed.data;
  return {
    vehicleId: vehicle,
    fileName,
    sizeBytes: Number(headers['upload-length']),
    drivenAtMs: drivenAt === undefined ? undefined : Date.parse(drivenAt),
    revisionId: revision,
    sha256,
    headSha256: head,
  };
}

function parseMetadata(header: string): Record<string, string | null> {
  try {
    return Metadata.parse(header);
  } catch (cause) {
    throw problem('request.invalid', {
      detail: 'headers.upload-metadata: expected pairs of a key and a value in base64, with commas between.',
      cause,
    });
  }
}

/** The header that an upload was begun with. */
export function metadataOf(upload: Upload): string {
  const { vehicleId, fileName, drivenAtMs, revisionId, sha256, headSha256 } = upload;
  const said = {
    vehicle: vehicleId,
    fileName,
    drivenAt: drivenAtMs === null ? null : toInstant(drivenAtMs),
    revision: revisionId,
    sha256,
    head: headSha256,
  };
  return Metadata.stringify(Object.fromEntries(Object.entries(said).filter(([, value]) => value !== null)));
}
