import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import {
  commandedMap,
  compileLookUp,
  compileRule,
  evaluateRule,
  type Layout,
  lookUp,
  type OperatingPoint,
  type RevisionContent,
  ruleGradient,
} from '../src/index.js';
import { anyContent, contentWith, layout } from './example.js';
import { refusalOf } from './refusal.js';

const content = contentWith({
  // Rows: load 0, 40, 100 %; columns: 1000, 2000, 4000, 6000 rpm.
  base: { '1-2': [100, 120, 160, 200, 300, 320, 360, 400, 600, 620, 660, 700] },
  byProgram: { calm: [0.9] },
  byFluid: { all: [1.4, 1.1, 1] },
  hold: { '2': [400, 800, 1400] },
  offset: { all: [-25] },
  fillTime: { B: [160, 100, 60] },
});
const upshift: OperatingPoint = {
  shift: '1-2',
  program: 'calm',
  load: 20,
  inputSpeed: 3000,
  fluidTemperature: 0,
};

describe('evaluateRule', () => {
  it('multiplies the tables of a product and gives the share of each', () => {
    // By hand: base (100 + 300)/2 at 1000 rpm, 40 more at 3000 rpm; fluid halfway between 1.4 and 1.1.
    const { value, unit, shares } = evaluateRule(layout, content, 'shiftPressure', upshift);
    expect(shares.map((share) => [share.tableId, share.variant])).toEqual([
      ['base', '1-2'],
      ['byProgram', 'calm'],
      ['byFluid', 'all'],
    ]);
    expect(shares[0].value).toBeCloseTo(240, 9);
    expect(shares[1].value).toBe(0.9);
    expect(shares[2].value).toBeCloseTo(1.25, 12);
    expect(value).toBeCloseTo(270, 9);
    expect(unit).toBe('kPa');
  });

  it('adds the tables of a sum', () => {
    const { value, shares } = evaluateRule(layout, content, 'holdPressure', { gear: 2, load: 70 });
    expect(value).toBe(1075);
    expect(shares.map((share) => share.value)).toEqual([1100, -25]);
  });

  it.each<[string, OperatingPoint, string, string]>([
    ['a shift', { ...upshift, shift: undefined }, 'base', 'shift'],
    ['a program', { ...upshift, program: undefined }, 'byProgram', 'program'],
    ['a coordinate', { ...upshift, fluidTemperature: undefined }, 'byFluid', 'fluidTemperature'],
    ['a number', { ...upshift, load: Number.NaN }, 'base', 'load'],
  ])('names rule, table and what is missing when the point lacks %s', (_, point, tableId, coordinate) => {
    expect(refusalOf(() => evaluateRule(layout, content, 'shiftPressure', point))).toEqual([
      'missingCoordinate',
      `Rule 'shiftPressure': Table '${tableId}' needs '${coordinate}', which the operating point does not give.`,
    ]);
  });

  it('says which variants there are when the point names another', () => {
    expect(refusalOf(() => evaluateRule(layout, content, 'shiftPressure', { ...upshift, shift: '3-2' }))).toEqual([
      'missingVariant',
      "Rule 'shiftPressure': Table 'base' (one per upshift) has no variant '3-2'; it has 1-2, 2-3.",
    ]);
  });

  it('says which rules there are when asked for another', () => {
    expect(refusalOf(() => evaluateRule(layout, content, 'linePressure', upshift))).toEqual([
      'unknownRule',
      "Layout version 3 of 'sandpiper' has no rule 'linePressure'; its rules: 'shiftPressure', 'holdPressure'.",
    ]);
  });

  it('does not take an inherited name for a variant or a table', () => {
    const inherited = { ...upshift, shift: 'constructor' };
    expect(refusalOf(() => evaluateRule(layout, content, 'shiftPressure', inherited))[0]).toBe('missingVariant');
    const holding: Layout = { ...layout, rules: [{ ...layout.rules[1], tables: ['toString'] }] };
    expect(refusalOf(() => evaluateRule(holding, content, 'holdPressure', {}))[0]).toBe('unknownTable');
  });

  it('names the table that the content lacks', () => {
    const { offset: _, ...tables } = content.tables;
    const bare: RevisionContent = { ...content, tables };
    expect(refusalOf(() => evaluateRule(layout, bare, 'holdPressure', { gear: 2, load: 70 }))).toEqual([
      'missingTable',
      "Rule 'holdPressure': The content has no table 'offset'.",
    ]);
  });
});

describe('lookUp', () => {
  it('reads one table at an operating point', () => {
    expect(lookUp(layout, content, 'fillTime', { clutch: 'B', fluidTemperature: 55 })).toBe(80);
    expect(lookUp(layout, content, 'hold', { gear: 2, load: 10 })).toBe(500);
  });

  it('is refused for a table that the layout does not have', () => {
    expect(refusalOf(() => lookUp(layout, content, 'vent', {}))).toEqual([
      'unknownTable',
      "Layout version 3 of 'sandpiper' has no table 'vent'.",
    ]);
  });
});

const aPoint = fc.record({
  load: fc.double({ min: -10, max: 120, noNaN: true }),
  inputSpeed: fc.double({ min: 500, max: 7000, noNaN: true }),
  fluidTemperature: fc.double({ min: -40, max: 140, noNaN: true }),
});

describe('the compiled forms', () => {
  it('give the same to the bit as the plain ones, whichever coordinates are fixed', () => {
    const fixedNames = fc.subarray(['load', 'inputSpeed', 'fluidTemperature'] as const);
    fc.assert(
      fc.property(anyContent, aPoint, fixedNames, (any, coordinates, names) => {
        const point = { ...coordinates, shift: '2-3', program: 'brisk', clutch: 'C', gear: 3 };
        const { load: _l, inputSpeed: _i, fluidTemperature: _f, ...fixed } = point;
        for (const name of names) Object.assign(fixed, { [name]: point[name] });
        for (const rule of ['shiftPressure', 'holdPressure']) {
          expect(compileRule(layout, any, rule, fixed)(point)).toBe(evaluateRule(layout, any, rule, point).value);
        }
        expect(compileLookUp(layout, any, 'fillTime', fixed)(point)).toBe(lookUp(layout, any, 'fillTime', point));
      }),
    );
  });

  it('give NaN for a missing value and name what is absent', () => {
    const commanded = compileRule(layout, content, 'shiftPressure', { shift: '1-2', program: 'calm', load: 20 });
    expect(commanded({ inputSpeed: Number.NaN, fluidTemperature: 0 })).toBeNaN();
    expect(refusalOf(() => commanded({ inputSpeed: 3000 }))).toEqual([
      'missingCoordinate',
      "Rule 'shiftPressure': Table 'byFluid' needs 'fluidTemperature', which the operating point does not give.",
    ]);
  });

  it('name the rule when they cannot be made', () => {
    expect(refusalOf(() => compileRule(layout, content, 'shiftPressure', { shift: '1-2' }))).toEqual([
      'missingCoordinate',
      "Rule 'shiftPressure': Table 'byProgram' needs 'program', which the operating point does not give.",
    ]);
  });
});

describe('ruleGradient', () => {
  it('lists the nodes with weight, w·v/f each', () => {
    // Load 20 % lies on no break point, 2000 rpm on one: two nodes of the base, 120 and 320 kPa around 220 kPa.
    const gradient = ruleGradient(layout, content, 'shiftPressure', {
      ...upshift,
      inputSpeed: 2000,
      fluidTemperature: 200,
    });
    expect(gradient).toEqual([
      { tableId: 'base', variant: '1-2', nodeIndex: 1, dLnCommandedDLnNode: 60 / 220 },
      { tableId: 'base', variant: '1-2', nodeIndex: 5, dLnCommandedDLnNode: 160 / 220 },
      { tableId: 'byProgram', variant: 'calm', nodeIndex: 0, dLnCommandedDLnNode: 1 },
      { tableId: 'byFluid', variant: 'all', nodeIndex: 2, dLnCommandedDLnNode: 1 },
    ]);
  });

  it.each([
    ['shiftPressure', { shift: '2-3', program: 'brisk' }],
    ['holdPressure', { gear: 3 }],
  ])('agrees with a central difference of ln p in every node of %s', (rule, fixed) => {
    fc.assert(
      fc.property(anyContent, aPoint, (any, coordinates) => {
        const point = { ...coordinates, ...fixed };
        // Where a sum nearly cancels, the difference quotient itself loses its digits.
        fc.pre(evaluateRule(layout, any, rule, point).value > 20);
        for (const entry of ruleGradient(layout, any, rule, point)) {
          const logOf = (factor: number) =>
            Math.log(evaluateRule(layout, scaled(any, entry, factor), rule, point).value);
          const h = 1e-4;
          const slope = (logOf(Math.exp(h)) - logOf(Math.exp(-h))) / (2 * h);
          expect(Math.abs(entry.dLnCommandedDLnNode - slope)).toBeLessThan(1e-5 * (1 + entry.dLnCommandedDLnNode ** 2));
        }
      }),
    );
  });

  it('sums to the number of tables of a product', () => {
    fc.assert(
      fc.property(anyContent, aPoint, (any, coordinates) => {
        const gradient = ruleGradient(layout, any, 'shiftPressure', { ...coordinates, shift: '1-2', program: 'calm' });
        expect(gradient.reduce((sum, entry) => sum + entry.dLnCommandedDLnNode, 0)).toBeCloseTo(3, 9);
      }),
    );
  });

  it('is refused where the commanded quantity has no logarithm', () => {
    const drained = contentWith({ hold: { '1': [0, 0, 0] }, offset: { all: [-5] } });
    expect(refusalOf(() => ruleGradient(layout, drained, 'holdPressure', { gear: 1, load: 10 }))).toEqual([
      'gradientUndefined',
      "Rule 'holdPressure' commands -5 kPa here; its logarithm has no gradient.",
    ]);
  });
});

describe('commandedMap', () => {
  it('lays the commanded quantity out with the rows slowest, other parts of the point held', () => {
    const [rows, columns] = [
      [0, 20, 150],
      [1000, 3000],
    ];
    const pointAt = (load: number, inputSpeed: number) => ({ load, inputSpeed });
    const map = commandedMap(layout, content, 'shiftPressure', upshift, { rows, columns, pointAt });
    const expected = rows.flatMap((load) =>
      columns.map(
        (inputSpeed) => evaluateRule(layout, content, 'shiftPressure', { ...upshift, load, inputSpeed }).value,
      ),
    );
    expect([...map]).toEqual(expected);
    expect(map[0]).toBeCloseTo(100 * 0.9 * 1.25, 9);
  });

  it('may ask at points of which one part follows from rows and columns', () => {
    const places = {
      rows: [0, 100],
      columns: [2, 4],
      pointAt: (load: number, thousands: number) => ({ load, inputSpeed: 1000 * thousands - load }),
    };
    const map = commandedMap(layout, content, 'shiftPressure', upshift, places);
    const last = evaluateRule(layout, content, 'shiftPressure', { ...upshift, load: 100, inputSpeed: 3900 });
    expect(map[3]).toBe(last.value);
  });

  it('asks for what neither the point nor the places give', () => {
    const places = { rows: [0], columns: [0], pointAt: (load: number, pedal: number) => ({ load, pedal }) };
    const point = { shift: '1-2', program: 'calm', fluidTemperature: 90 };
    expect(refusalOf(() => commandedMap(layout, content, 'shiftPressure', point, places))[1]).toContain(
      "Table 'base' needs 'inputSpeed'",
    );
  });
});

function scaled(any: RevisionContent, node: { tableId: string; variant: string; nodeIndex: number }, factor: number) {
  const table = any.tables[node.tableId];
  const values = table.values[node.variant].map((value, i) => (i === node.nodeIndex ? value * factor : value));
  const changed = { ...table, values: { ...table.values, [node.variant]: values } };
  return { ...any, tables: { ...any.tables, [node.tableId]: changed } };
}
