import { variantParts } from '@syncline/calibration';
import type { LayoutDocument, PlatformDocument } from '@syncline/contract';
import { digitsFor } from '../../format/quantity.js';

export type TableSpec = LayoutDocument['tables'][number];
export type Rule = LayoutDocument['rules'][number];

const MOST_DIGITS = 4;

/** Unit as it is written on a page: a plain number (`1` in a layout) has none. */
export function unitWord(unit: string): string {
  return unit === '1' ? '' : unit;
}

/** Digits after the point that a table's storage can hold: finer ones would be an invention. */
export function tableDigits({ storage, unit }: Pick<TableSpec, 'storage' | 'unit'>): number {
  if (storage.type === 'f32') return digitsFor(unitWord(unit));
  const [, decimals = ''] = storage.resolution.toFixed(MOST_DIGITS).replace(/0+$/, '').split('.');
  return decimals.length;
}

/** What a variant of a table is called on a tab, and its whole name: “2-3”, “shift 2-3”; “2-3 calm”, “shift 2-3, program calm”. */
export function variantWords(
  spec: Pick<TableSpec, 'repeat' | 'byProgram'>,
  variant: string,
  platform: Pick<PlatformDocument, 'clutches' | 'programs'>,
): { readonly short: string; readonly full: string } {
  const parts = Object.entries(variantParts(spec, variant)).map(([selector, id]) => partWords(selector, id, platform));
  return {
    short: parts.map(({ short }) => short).join(' '),
    full: parts.map(({ full }) => full).join(', '),
  };
}

function partWords(
  selector: string,
  id: string,
  { clutches, programs }: Pick<PlatformDocument, 'clutches' | 'programs'>,
): { readonly short: string; readonly full: string } {
  switch (selector) {
    case 'program': {
      const title = programs.find((program) => program.id === id)?.title ?? id;
      return { short: title, full: `program ${title.toLowerCase()}` };
    }
    case 'clutch':
      return { short: id, full: clutches.find((clutch) => clutch.id === id)?.title ?? id };
    default:
      return { short: id, full: `${selector} ${id}` };
  }
}

const REPEAT_WORDS: Record<TableSpec['repeat'], string> = {
  once: '',
  shift: 'Shift',
  upshift: 'Upshift',
  downshift: 'Downshift',
  gear: 'Gear',
  program: 'Program',
  clutch: 'Clutch',
};

/** What a table is repeated over, for the head of its tabs; empty for one that exists once. */
export function repeatWords({ repeat, byProgram }: Pick<TableSpec, 'repeat' | 'byProgram'>): string {
  return [REPEAT_WORDS[repeat], byProgram && 'program'].filter(Boolean).join(' and ');
}

export interface TableGroup {
  readonly title: string;
  readonly tables: readonly TableSpec[];
}

/** Tables by the rule that uses them first, in the order of the layout; those in no rule come last. */
export function groupTables({ tables, rules }: LayoutDocument): TableGroup[] {
  const placed = new Set<string>();
  const groups = rules.map((rule) => {
    const members = tables.filter(({ id }) => rule.tables.includes(id) && !placed.has(id));
    for (const { id } of members) placed.add(id);
    return { title: rule.title, tables: members };
  });
  const others = tables.filter(({ id }) => !placed.has(id));
  return [...groups, { title: rules.length === 0 ? 'Tables' : 'In no rule', tables: others }].filter(
    (group) => group.tables.length > 0,
  );
}
