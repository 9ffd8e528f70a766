import type { Layout, Platform } from '@syncline/calibration';
import type { GradingPolicy } from '@syncline/shifts';
import type { Actor } from '../actor.js';
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
  /** Rising versions. */
  readonly layouts: readonly { readonly version: number; readonly title: string; readonly createdAtMs: number }[];
  /** The one in force: by it the shifts that pages show are graded. A newer one waits for its analysis run. */
  readonly policy: GradingPolicy;
  /** Rising versions. */
  readonly policies: readonly { readonly version: number; readonly createdAtMs: number }[];
  readonly createdAtMs: number;
}

export interface PlatformReads {
  list(page: PageRequest): Page<PlatformSummary>;
  find(platformId: string): PlatformDetail | undefined;
  findLayout(platformId: string, version: number): Layout | undefined;
  /** The policy in force, or the one of a version. */
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
  /** Becomes the next version. It comes into force with the analysis run that grades by it. */
  addPolicy(input: {
    readonly actor: Actor;
    readonly platformId: string;
    readonly policy: Omit<GradingPolicy, 'version'>;
  }): GradingPolicy;
}
