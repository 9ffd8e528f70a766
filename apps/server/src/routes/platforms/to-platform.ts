import type { Layout, Platform } from '@syncline/calibration';
import type { LayoutDocument, PlatformDocument, PlatformResponse, PolicyDocument } from '@syncline/contract';
import type { GradingPolicy } from '@syncline/shifts';
import type { PlatformDetail, PlatformSummary } from '@syncline/store';
import { toInstant } from '../format.js';

export function toPlatformSummary({ id, title, gearCount, layoutVersions }: PlatformSummary) {
  return { id, title, gearCount, layoutVersions: [...layoutVersions] };
}

export function toPlatformResponse(detail: PlatformDetail): PlatformResponse {
  return {
    platform: toPlatformDocument(detail.platform),
    layoutVersions: [...detail.layoutVersions],
    layouts: detail.layouts.map(({ createdAtMs, ...layout }) => ({ ...layout, createdAt: toInstant(createdAtMs) })),
    policy: toPolicyDocument(detail.policy),
    policies: detail.policies.map(({ version, createdAtMs }) => ({ version, createdAt: toInstant(createdAtMs) })),
    createdAt: toInstant(detail.createdAtMs),
  };
}

// The documents are the domain's own values; the copies only shed the readonly marks.
function toPlatformDocument(platform: Platform): PlatformDocument {
  return structuredClone(platform) as PlatformDocument;
}

export function toLayoutDocument(layout: Layout): LayoutDocument {
  return structuredClone(layout) as LayoutDocument;
}

export function toPolicyDocument(policy: GradingPolicy): PolicyDocument {
  return structuredClone(policy) as PolicyDocument;
}
