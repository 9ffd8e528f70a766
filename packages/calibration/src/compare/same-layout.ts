import { CalibrationError } from '../calibration-error.js';
import type { RevisionContent } from '../document/content.js';
import type { Layout } from '../layout/layout.js';

/** Throws `otherLayout` for content that is not of this layout version. */
export function assertSameLayout(layout: Layout, content: RevisionContent): void {
  if (content.platformId === layout.platformId && content.layoutVersion === layout.version) return;
  throw new CalibrationError(
    'otherLayout',
    `Content of ${content.platformId}, layout version ${content.layoutVersion}, cannot be compared under ` +
      `${layout.platformId}, layout version ${layout.version}.`,
  );
}
