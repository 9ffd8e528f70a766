import { createHmac } from 'node:crypto';
import { request as requestHttp } from 'node:http';
import { request as requestHttps } from 'node:https';
import { HOOK_SIGNATURE_HEADER, HOOK_TIMESTAMP_HEADER } from '@syncline/contract';
import { hookFault, publicLookup } from './hook-address.js';

const TIMEOUT_MS = 10_000;

export interface HookCall {
  readonly url: string;
  readonly secret: string;
  readonly noticeId: string;
  /** JSON. */
  readonly body: string;
  readonly nowMs: number;
  readonly isPrivateAllowed: boolean;
}

/** HMAC-SHA-256 (RFC 2104) over `<timestamp>.<body>`, in hex: nobody can send it again later as new. */
export function hookSignature(secret: string, timestampS: number, body: string): string {
  return createHmac('sha256', secret).update(`${timestampS}.${body}`).digest('hex');
}

/**
 * Posts to a hook. Any answer of 200 to 299 takes it; all else is an error that says what came, and so is a redirect,
 * which might lead to where the address itself may not. What the answer says is not read.
 */
export function sendHook(call: HookCall): Promise<void> {
  const { url, secret, noticeId, body, nowMs, isPrivateAllowed } = call;
  const fault = hookFault(url, isPrivateAllowed);
  if (fault !== null) return Promise.reject(new Error(fault));
  const timestampS = Math.floor(nowMs / 1000);
  const send = url.startsWith('https:') ? requestHttps : requestHttp;
  return new Promise((resolve, reject) => {
    const request = send(
      url,
      {
        method: 'POST',
        headers: {
          'content-type': 'application/json',
          'content-length': Buffer.byteLength(body),
          'syncline-notice': noticeId,
          [HOOK_TIMESTAMP_HEADER]: String(timestampS),
          [HOOK_SIGNATURE_HEADER]: `v1=${hookSignature(secret, timestampS, body)}`,
        },
        signal: AbortSignal.timeout(TIMEOUT_MS),
        ...(isPrivateAllowed ? {} : { lookup: publicLookup }),
      },
      (response) => {
        response.destroy();
        const { statusCode = 0 } = response;
        if (statusCode >= 200 && statusCode < 300) resolve();
        else reject(new Error(`answered ${statusCode}`));
      },
    );
    request.on('error', reject);
    request.end(body);
  });
}
