import type * as Contract from '@syncline/contract';
import type { CheckedCapture } from '@syncline/store';
import { toInstant } from '../format.js';

/** The check of a capture with the scores that matter: of the best dialect and of the one that is declared. */
export function toCaptureCheck({
  uploadedAtMs,
  checkedAtMs,
  scores,
  ...capture
}: CheckedCapture): Contract.CaptureCheck {
  return {
    ...capture,
    uploadedAt: toInstant(uploadedAtMs),
    checkedAt: toInstant(checkedAtMs),
    scores: scores
      .filter(({ dialect }, i) => i === 0 || dialect === capture.declaredDialect)
      .map((score) => ({ ...score, disagreements: [...score.disagreements] })),
  };
}
