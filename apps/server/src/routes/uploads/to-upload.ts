import type * as Contract from '@syncline/contract';
import type { Upload } from '@syncline/store';
import type { ResumableUploadService } from '../../services/resumable-uploads.js';
import { toInstant, toInstantOrNull } from '../format.js';

export function toUpload(upload: Upload, resumable: ResumableUploadService): Contract.Upload {
  const { id, vehicleId, vehicleTitle, fileName, sizeBytes, revisionId, sha256, headSha256, outcome } = upload;
  return {
    id,
    vehicleId,
    vehicleTitle,
    fileName,
    sizeBytes,
    receivedBytes: resumable.receivedBytes(upload),
    drivenAt: toInstantOrNull(upload.drivenAtMs),
    revisionId,
    sha256,
    head: headSha256,
    state: outcome.state,
    logId: outcome.state === 'done' ? outcome.logId : null,
    isDuplicate: outcome.state === 'done' && outcome.isDuplicate,
    twin: resumable.twinOf(upload),
    problem: outcome.state === 'refused' ? { ...outcome.problem } : null,
    createdAt: toInstant(upload.createdAtMs),
    expiresAt: toInstant(upload.expiresAtMs),
  };
}
