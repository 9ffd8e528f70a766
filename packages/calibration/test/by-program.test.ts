import { describe, expect, it } from 'vitest';
import {
  checkContent,
  compileRule,
  defaultContent,
  evaluateRule,
  type Layout,
  lookUp,
  type RevisionContent,
  ruleGradient,
} from '../src/index.js';
import { layout, platform } from './example.js';
import { refusalOf } from './refusal.js';

/** `base` of the example with a set of values per program as well. */
const byProgram: Layout = {
  ...layout,
  tables: layout.tables.map((table) => (table.id === 'base' ? { ...table, byProgram: true } : table)),
};
const whole = defaultContent(byProgram, platform);
const content = withBase({ ...whole.tables.base.values, '1-2/brisk': Array.from({ length: 12 }, () => 400) });
const point = { shift: '1-2', program: 'brisk', load: 10, inputSpeed: 3000, fluidTemperature: 20 };

function withBase(values: Record<string, readonly number[]>): RevisionContent {
  return { ...whole, tables: { ...whole.tables, base: { ...whole.tables.base, values } } };
}

describe('a table that differs by shift and program', () => {
  it('begins with the default in every pair', () => {
    expect(Object.keys(whole.tables.base.values)).toEqual(['1-2/calm', '1-2/brisk', '2-3/calm', '2-3/brisk']);
    expect(checkContent(byProgram, platform, whole)).toEqual([]);
  });

  it('answers by the program of the operating point', () => {
    expect(lookUp(byProgram, content, 'base', point)).toBe(400);
    expect(lookUp(byProgram, content, 'base', { ...point, program: 'calm' })).toBe(300);
    const { value, shares } = evaluateRule(byProgram, content, 'shiftPressure', point);
    expect(value).toBe(400);
    expect(shares[0].variant).toBe('1-2/brisk');
    expect(compileRule(byProgram, content, 'shiftPressure', point)({})).toBe(400);
    expect(new Set(ruleGradient(byProgram, content, 'shiftPressure', point).map((node) => node.variant))).toContain(
      '1-2/brisk',
    );
  });

  it('asks for the program where the point does not say', () => {
    expect(refusalOf(() => lookUp(byProgram, content, 'base', { ...point, program: undefined }))).toEqual([
      'missingCoordinate',
      "Table 'base' needs 'program', which the operating point does not give.",
    ]);
    expect(refusalOf(() => lookUp(byProgram, content, 'base', { ...point, program: 'tow' }))).toEqual([
      'missingVariant',
      "Table 'base' (one per upshift and program) has no variant '1-2/tow'; it has 1-2/calm, 1-2/brisk, 2-3/calm, 2-3/brisk.",
    ]);
  });

  it('has missing and unknown pairs named by the check', () => {
    const { '2-3/calm': calm, ...others } = content.tables.base.values;
    const findings = checkContent(byProgram, platform, withBase({ ...others, '2-3': calm }));
    expect(findings.map((entry) => [entry.code, entry.message])).toEqual([
      [
        'variantUnknown',
        "Table 'base' has values for '2-3', which is no upshift and program of the platform. Remove them; known are 1-2/calm, 1-2/brisk, 2-3/calm, 2-3/brisk.",
      ],
      [
        'variantMissing',
        "Table 'base' has no values for '2-3/calm'. Add them; it holds one set per upshift and program.",
      ],
    ]);
  });

  it('has its values checked pair by pair', () => {
    const values = { ...content.tables.base.values, '2-3/brisk': Array.from({ length: 12 }, (_, i) => 1190 + i) };
    const findings = checkContent(byProgram, platform, withBase(values));
    expect(findings.map((entry) => [entry.code, entry.variant, entry.found])).toEqual([
      ['aboveMaximum', '2-3/brisk', 1201],
    ]);
  });
});
