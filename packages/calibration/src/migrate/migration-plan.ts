import type { Finding } from '../checks/finding.js';
import type { Layout, TableSpec } from '../layout/layout.js';
import type { Platform } from '../layout/platform.js';
import type { ResamplingError } from '../tables/resample.js';

/** What is to be done to bring content from one layout to another, before any content is seen. */
export interface MigrationPlan {
  readonly platform: Platform;
  readonly from: Layout;
  readonly to: Layout;
  /** One entry per table of the new layout, in its order. */
  readonly tables: readonly TablePlan[];
  /** In the order of the new layout's tables, then what is removed. */
  readonly steps: readonly MigrationStep[];
  /** Blocking ones forbid the migration; warnings say what is lost. */
  readonly findings: readonly Finding[];
}

/** Where a table of the new layout comes from. */
export interface TablePlan {
  readonly spec: TableSpec;
  /** Null for a table that begins at its default. */
  readonly source: TableSpec | null;
  /** The old variants that speak for each new one: one to copy, several that must agree, or none. */
  readonly variantSources: Readonly<Record<string, readonly string[]>>;
}

/** One thing that a migration does, for people to read. `tableId` is the new layout's, or the old one's where it goes. */
export type MigrationStep =
  | { readonly kind: 'kept' | 'removed'; readonly tableId: string }
  | { readonly kind: 'renamed'; readonly tableId: string; readonly oldId: string }
  | { readonly kind: 'added'; readonly tableId: string; readonly defaultValue: number }
  /** The same values along a new axis, or the axes in another order: nothing is lost. */
  | { readonly kind: 'axesArranged'; readonly tableId: string; readonly quantities: readonly string[] }
  | {
      readonly kind: 'resampled';
      readonly tableId: string;
      /** Indices of the new table's axes that get the new layout's break points. */
      readonly axes: readonly number[];
      /** What that changed most; null where nothing is lost, and in a plan, which has not seen the content. */
      readonly largestError: ResamplingError | null;
    }
  /** New variants that take the values of an old one, or of several that agree. */
  | { readonly kind: 'variantsCopied'; readonly tableId: string; readonly copies: readonly VariantCopy[] }
  /** New variants that no old one speaks for; they stand at the table's default. */
  | {
      readonly kind: 'variantsDefaulted';
      readonly tableId: string;
      readonly variants: readonly string[];
      readonly defaultValue: number;
    };

export interface VariantCopy {
  readonly from: readonly string[];
  readonly to: string;
}
