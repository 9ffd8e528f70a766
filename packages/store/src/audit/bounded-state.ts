import type { AuditState } from './audit.js';

/** What one entry keeps of a thing at most: enough to see a change, too little to fill the disk. */
const MAX_FIELDS = 40;
const MAX_TEXT_LENGTH = 500;
/** Never kept, whoever hands them in. */
const SECRET = /password|secret|token|codeHash/i;

/** Fields of a thing as an entry may keep them: no secrets, few, short; what is no plain value becomes JSON text. */
export function boundedState(fields: Readonly<Record<string, unknown>>): AuditState {
  const kept = Object.entries(fields)
    .filter(([name, value]) => value !== undefined && !SECRET.test(name))
    .slice(0, MAX_FIELDS);
  return Object.fromEntries(kept.map(([name, value]) => [name, plainValue(value)]));
}

/** Both states with the fields that differ alone. */
export function changedFields(
  before: AuditState,
  after: AuditState,
): { readonly before: AuditState; readonly after: AuditState } {
  const names = [...new Set([...Object.keys(before), ...Object.keys(after)])].filter(
    (name) => before[name] !== after[name],
  );
  const pick = (state: AuditState) =>
    Object.fromEntries(names.filter((name) => name in state).map((name) => [name, state[name]]));
  return { before: pick(before), after: pick(after) };
}

/** A lone surrogate would not come back from the database as it went in, and the hash would no longer fit. */
export function wellFormed(text: string): string {
  return Buffer.from(text, 'utf8').toString('utf8');
}

function plainValue(value: unknown): string | number | boolean | null {
  if (typeof value === 'number') return Number.isFinite(value) ? value : null;
  if (value === null || typeof value === 'boolean') return value;
  return shortened(wellFormed(typeof value === 'string' ? value : JSON.stringify(value)));
}

function shortened(text: string): string {
  if (text.length <= MAX_TEXT_LENGTH) return text;
  return wellFormed(`${text.slice(0, MAX_TEXT_LENGTH)}… (${text.length} characters)`);
}
