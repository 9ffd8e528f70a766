import { uploadResponse } from '@syncline/contract';
import type { z } from 'zod';
import { toApiProblem, Unreachable } from './api-problem.js';
import { apiUrl } from './client.js';

export interface LogUpload {
  readonly file: File;
  readonly vehicleId: string;
  /** ISO 8601 with zone. */
  readonly drivenAt: string;
  /** What the car ran, if it is not what was installed at that time. */
  readonly revisionId?: string | undefined;
}
export type UploadAnswer = z.infer<typeof uploadResponse>;

/**
 * Sends one file as it is. `onSent` hears the bytes that have left; resolves when the server has stored the file.
 * XMLHttpRequest, because fetch does not tell how far a body has gone.
 */
export function uploadLog(upload: LogUpload, onSent: (bytes: number) => void): Promise<UploadAnswer> {
  const { file, vehicleId, drivenAt, revisionId } = upload;
  return new Promise((resolve, reject) => {
    const request = new XMLHttpRequest();
    request.open('POST', apiUrl('/logs', { vehicle: vehicleId, fileName: file.name, drivenAt, revision: revisionId }));
    request.setRequestHeader('content-type', 'application/octet-stream');
    request.upload.onprogress = (event) => onSent(event.loaded);
    request.onerror = () => reject(new Unreachable('The connection was lost while sending.'));
    request.onload = () => {
      if (request.status >= 200 && request.status < 300) {
        const parsed = uploadResponse.safeParse(JSON.parse(request.responseText));
        return parsed.success ? resolve(parsed.data) : reject(parsed.error);
      }
      reject(toApiProblem(request.status, request.responseText, request.getResponseHeader('x-request-id')));
    };
    request.send(file);
  });
}
