import type * as Calibration from '@syncline/calibration';
import type { Finding } from '@syncline/contract';

/** Findings of the calibration package in the form of the contract; `where` says the place in words. */
export function toFindings(findings: readonly Calibration.Finding[]): Finding[] {
  return findings.map(({ code, severity, message, tableId, variant, cell }) => ({
    code,
    severity,
    where: [tableId ?? 'document', variant, cell && `row ${cell.row + 1}, column ${cell.column + 1}`]
      .filter(Boolean)
      .join(', '),
    message,
    tableId,
    variant,
    cell: cell && { row: cell.row, column: cell.column },
  }));
}

/** A finding about a place of a document that keeps it from being taken. */
export function blockingFinding(code: string, where: string, message: string): Finding {
  return { code, severity: 'blocking', where, message, tableId: null, variant: null, cell: null };
}

/** Whether something keeps the document from being taken. */
export function isBlocked(findings: readonly Finding[]): boolean {
  return findings.some((finding) => finding.severity === 'blocking');
}
