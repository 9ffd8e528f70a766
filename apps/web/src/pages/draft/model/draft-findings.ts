import * as Calibration from '@syncline/calibration';
import type { Finding, LayoutDocument, PlatformDocument, RevisionContentDocument } from '@syncline/contract';

/** Findings, and the very content that they were made of. */
export interface CheckedContent {
  readonly content: RevisionContentDocument;
  readonly findings: readonly Finding[];
}

interface CheckContext {
  readonly layout: LayoutDocument;
  readonly platform: PlatformDocument;
  readonly parent: RevisionContentDocument | null;
  /** The last answer of the server. */
  readonly checked: CheckedContent;
}

/** Checks that look at two tables at once: they are made anew whenever a table of a schedule changes. */
const SCHEDULE_CODES = ['scheduleCrossing', 'scheduleHunting', 'engineTooSlow', 'engineTooFast'];

const isOfSchedule = ({ code }: Finding) => SCHEDULE_CODES.includes(code);

/**
 * What the checks find in the content as it stands on the page. Variants that are still the ones the server checked
 * keep its findings; only the others are checked here, so that typing in a large table costs one variant.
 */
export function findingsOf(content: RevisionContentDocument, context: CheckContext): Finding[] {
  const { layout, checked } = context;
  const known = new Map<string, Finding[]>();
  const elsewhere: Finding[] = [];
  for (const finding of checked.findings) {
    if (finding.tableId === null) elsewhere.push(finding);
    else if (!isOfSchedule(finding)) known.set(finding.tableId, [...(known.get(finding.tableId) ?? []), finding]);
  }
  return [
    ...elsewhere,
    ...layout.tables.flatMap((spec) => tableFindings(spec, content, context, known.get(spec.id) ?? [])),
    ...scheduleFindings(content, context),
  ];
}

function tableFindings(
  spec: LayoutDocument['tables'][number],
  content: RevisionContentDocument,
  { layout, platform, parent, checked }: CheckContext,
  known: readonly Finding[],
): Finding[] {
  const [now, then] = [content.tables[spec.id], checked.content.tables[spec.id]];
  if (now === undefined || now === then) return [...known];
  const before = parent?.tables[spec.id];
  if (then === undefined || now.axes !== then.axes) {
    return toFindings(Calibration.checkTable(layout, platform, spec, now, before));
  }
  const changed = Object.keys(now.values).filter((variant) => now.values[variant] !== then.values[variant]);
  return [
    ...known.filter(({ variant }) => variant === null || !changed.includes(variant)),
    ...changed.flatMap((variant) => {
      const alone = { axes: now.axes, values: { [variant]: now.values[variant] ?? [] } };
      const found = Calibration.checkTable(layout, platform, spec, alone, before);
      return toFindings(found.filter((finding) => finding.variant === variant));
    }),
  ];
}

function scheduleFindings(content: RevisionContentDocument, { layout, platform, checked }: CheckContext): Finding[] {
  const tables = (layout.schedules ?? []).flatMap(({ upTable, downTable }) => [upTable, downTable]);
  const isUnchanged = tables.every((id) => content.tables[id] === checked.content.tables[id]);
  if (isUnchanged) return checked.findings.filter(isOfSchedule);
  return toFindings(Calibration.checkSchedules(layout, platform, content));
}

function toFindings(findings: readonly Calibration.Finding[]): Finding[] {
  return findings.map(({ code, severity, message, tableId, variant, cell }) => ({
    code,
    severity,
    where: [tableId, variant, cell && `row ${cell.row + 1}, column ${cell.column + 1}`].filter(Boolean).join(', '),
    message,
    tableId,
    variant,
    cell: cell && { row: cell.row, column: cell.column },
  }));
}

export function isBlocking({ severity }: Finding): boolean {
  return severity === 'blocking';
}

/** Blocking ones first, else in the order of the layout. */
export function gravestFirst(findings: readonly Finding[]): Finding[] {
  return [...findings.filter(isBlocking), ...findings.filter((finding) => !isBlocking(finding))];
}

/** The graver of the findings at each cell of one variant, by row-major position. */
export function severityByCell(
  findings: readonly Finding[],
  { tableId, variant, columns }: { readonly tableId: string; readonly variant: string; readonly columns: number },
): Map<number, Finding['severity']> {
  const severities = new Map<number, Finding['severity']>();
  for (const finding of findings) {
    if (finding.tableId !== tableId || finding.cell === null) continue;
    if (finding.variant !== null && finding.variant !== variant) continue;
    const position = finding.cell.row * columns + finding.cell.column;
    if (severities.get(position) !== 'blocking') severities.set(position, finding.severity);
  }
  return severities;
}
