import type { Layout, Platform } from '@syncline/calibration';
import type { GradingPolicy } from '@syncline/shifts';
import type { Actor } from '../actor.js';
import type { NewJob } from '../jobs/jobs.js';
import type { Page, PageRequest } from '../page.js';

export interface PlatformSummary {
  readonly id: string;
  readonly title: string;
  readonly gearCount: number;
  /** Rising. */
  readonly layoutVersions: readonly number[];
}

export interface PlatformDetail {
  readonly platform: Platform;
  readonly layoutVersions: readonly number[];
  /** The newest. */
  readonly policy: GradingPolicy;
  readonly createdAtMs: number;
}

export interface PlatformReads {
  list(page: PageRequest): Page<PlatformSummary>;
  find(platformId: string): PlatformDetail | undefined;
  findLayout(platformId: string, version: number): Layout | undefined;
  /** The newest policy, or the one of a version. */
  findPolicy(platformId: string, version?: number): GradingPolicy | undefined;
}

export interface PlatformWrites {
  /** With its first grading policy, which becomes version 1. Throws `exists`. */
  create(input: {
    readonly actor: Actor;
    readonly platform: Platform;
    readonly policy: Omit<GradingPolicy, 'version'>;
  }): void;
  /** Throws `not_found` for the platform, `exists` for a version that is there: layouts never change. */
  addLayout(input: { readonly actor: Actor; readonly layout: Layout }): void;
  /** Becomes the next version; `jobFor` names the job that regrades, queued in the same transaction. */
  addPolicy(input: {
    readonly actor: Actor;
    readonly platformId: string;
    readonly policy: Omit<GradingPolicy, 'version'>;
    readonly jobFor?: (policy: GradingPolicy) => NewJob;
  }): GradingPolicy;
}
