import type { LogColumn } from '../log-content.js';
import { findUnit } from '../units.js';

/** A one-letter unit after an underscore is believed only beside a word that makes it likely. */
const LETTER_UNIT_WITNESS: Record<string, RegExp> = {
  s: /time|zeit|^t$|stamp|elapsed/i,
  c: /temp|atf|oil|öl|oel|fluid|coolant/i,
  f: /temp|atf|oil|fluid|coolant/i,
  k: /temp|atf|oil|öl|oel|fluid|coolant/i,
  v: /volt|supply|batt|spannung|^u/i,
};

/**
 * Takes the unit out of a header cell: `speed [rpm]`, `speed (rpm)`, `speed/rpm`, `speed in rpm`, `speed, rpm`,
 * `speed_rpm`. Square brackets always hold a unit; elsewhere only what is known as one is taken.
 * @example splitUnit('Turbine speed (1/min)')   // { label: 'Turbine speed', unit: '1/min' }
 */
function splitUnit(cell: string): { label: string; unit: string | null } {
  const bracketed = /^(.*?)\s*\[([^\]]*)\]\s*$/.exec(cell);
  if (bracketed !== null) return { label: bracketed[1] || cell, unit: bracketed[2]?.trim() || null };
  const patterns = [
    /^(.+?)\s*\(([^()]+)\)$/,
    /^(.+?)\s+in\s+(\S+)$/i,
    /^(.+?)\s*,\s*(\S+)$/,
    /^([^/]+?)\s*\/\s*(\S+)$/,
  ];
  for (const pattern of patterns) {
    const [, label, unit] = pattern.exec(cell) ?? [];
    if (label !== undefined && unit !== undefined && isUnit(unit)) return { label, unit: unit.trim() };
  }
  return splitSuffix(cell);
}

function splitSuffix(cell: string): { label: string; unit: string | null } {
  const [, label, unit] = /^(.+)[_ ]([^_ ]+)$/.exec(cell) ?? [];
  if (label === undefined || unit === undefined || !isUnit(unit)) return { label: cell, unit: null };
  if (unit.length > 1) return { label, unit };
  const witness = LETTER_UNIT_WITNESS[unit.toLowerCase()];
  return unit === '%' || witness?.test(label) ? { label, unit } : { label: cell, unit: null };
}

function isUnit(text: string): boolean {
  const unit = findUnit(text);
  return unit !== undefined && unit.quantity !== 'state';
}

/** Whether a row reads as a row of units: at least half of its filled cells are in brackets or known as units. */
export function isUnitsRow(cells: readonly string[]): boolean {
  const filled = cells.filter((cell) => cell !== '');
  const unitCount = filled.filter((cell) => /^[[(].*[\])]$/.test(cell) || findUnit(cell) !== undefined).length;
  return filled.length > 0 && unitCount >= filled.length / 2;
}

/**
 * Names the columns of a file. A repeated name is made unique by its count, an unnamed column beyond the header is
 * called by its position, so that every column can be mapped. Where a units row exists it wins over the header.
 */
export function nameColumns(header: readonly string[], units: readonly string[], count: number): LogColumn[] {
  const taken = new Set<string>();
  return Array.from({ length: count }, (_, index) => {
    const cell = header[index] || `column ${index + 1}`;
    let name = cell;
    for (let n = 2; taken.has(name); n++) name = `${cell} (${n})`;
    taken.add(name);
    const split = splitUnit(cell);
    return { index, name, label: split.label, unit: unbracket(units[index] ?? '') || split.unit };
  });
}

function unbracket(cell: string): string {
  return cell.replace(/^[[(]\s*|\s*[\])]$/g, '');
}
