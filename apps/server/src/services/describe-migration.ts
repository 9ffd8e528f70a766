import type { Finding, MigrationPlan, MigrationStep, TableSpec } from '@syncline/calibration';

/** A step of a migration in words. */
export interface DescribedStep {
  readonly kind: string;
  readonly tableId: string;
  readonly detail: string;
  /** Of resampling, in the unit of the table. */
  readonly largestError: number | null;
  readonly severity: 'note' | 'warning' | 'blocking';
}

/** What is done to a table, with numbers and units; a warning where values are lost or have to be set by somebody. */
export function describeStep({ from, to }: MigrationPlan, step: MigrationStep): DescribedStep {
  const { kind, tableId } = step;
  const spec = to.tables.find((table) => table.id === tableId);
  const plain = { kind, tableId, largestError: null, severity: 'note' } as const;
  switch (step.kind) {
    case 'kept':
      return { ...plain, detail: 'Taken over as it is.' };
    case 'renamed':
      return { ...plain, detail: `Was called '${step.oldId}'.` };
    case 'axesArranged':
      return { ...plain, detail: `Now runs over ${step.quantities.join(' and ')}; no value changes.` };
    case 'variantsCopied':
      return {
        ...plain,
        detail: step.copies
          .map((copy) => `${copy.to} takes the values of ${copy.from.join(', ')}`)
          .join('; ')
          .concat('.'),
      };
    case 'added':
      return {
        ...plain,
        severity: 'warning',
        detail: `New; every value begins at ${withUnit(step.defaultValue, spec)}.`,
      };
    case 'variantsDefaulted':
      return {
        ...plain,
        severity: 'warning',
        detail: `Nothing speaks for ${step.variants.join(', ')}: they begin at ${withUnit(step.defaultValue, spec)}.`,
      };
    case 'removed': {
      const { title } = from.tables.find((table) => table.id === tableId) ?? { title: tableId };
      return {
        ...plain,
        severity: 'warning',
        detail: `'${title}' is left out: layout ${to.version} has no such table.`,
      };
    }
    case 'resampled':
      return describeResampling(step, spec);
    default:
      return step satisfies never;
  }
}

/** What stands in the way of a migration, as steps that block it. Its warnings are told by the steps themselves. */
export function describeFindings(findings: readonly Finding[]): DescribedStep[] {
  return findings
    .filter(({ severity }) => severity === 'blocking')
    .map(({ code, tableId, message }) => ({
      kind: code,
      tableId: tableId ?? '',
      detail: message,
      largestError: null,
      severity: 'blocking' as const,
    }));
}

function describeResampling(
  { kind, tableId, axes, largestError }: Extract<MigrationStep, { kind: 'resampled' }>,
  spec: TableSpec | undefined,
): DescribedStep {
  const named = axes.map((axis) => spec?.axes[axis].title ?? `axis ${axis + 1}`).join(' and ');
  const what = `Read off at the new break points of ${named}`;
  if (largestError === null) return { kind, tableId, detail: `${what}.`, largestError: null, severity: 'note' };
  const place = largestError.coordinates.map((x, i) => {
    const axis = spec?.axes[i];
    return axis ? `${axis.title} ${rounded(x)} ${axis.unit}`.trimEnd() : String(x);
  });
  return {
    kind,
    tableId,
    detail: `${what}; departs by up to ${withUnit(largestError.error, spec)} (${[largestError.variant, ...place].join(', ')}).`,
    largestError: largestError.error,
    severity: 'warning',
  };
}

function withUnit(value: number, spec: TableSpec | undefined): string {
  return `${rounded(value)} ${spec?.unit ?? ''}`.trimEnd();
}

/** Six digits tell any value apart that a table holds, without the dust of reckoning. */
function rounded(value: number): number {
  return Number(value.toPrecision(6));
}
