import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import {
  checkContent,
  checkSchedules,
  defaultContent,
  interpolate,
  type Layout,
  type RevisionContent,
  scheduleLines,
} from '../src/index.js';
import { refusalOf } from './refusal.js';
import { type Lines, layout, linesWith, platform, programLayout, soundLines } from './schedule-example.js';

function codesOf(content: RevisionContent, of: Layout = layout) {
  return checkContent(of, platform, content).map(({ code, severity, tableId, variant, cell, found, bound }) => {
    return [code, severity, tableId, variant, cell?.column, found, bound];
  });
}

describe('scheduleLines', () => {
  it('gives each shift its line of pedal and output speed', () => {
    const { upshifts, downshifts } = scheduleLines(layout, platform, linesWith(), 'drive');
    expect(upshifts.map((line) => line.shift.id)).toEqual(['1-2', '2-3']);
    expect(downshifts.map((line) => line.shift.id)).toEqual(['3-2', '2-1', '3-1']);
    expect(upshifts[1]).toEqual({
      shift: { id: '2-3', from: 2, to: 3 },
      tableId: 'up',
      variant: '2-3',
      pedal: [0, 50, 100],
      outputSpeedRpm: [1000, 1800, 3000],
    });
  });

  it('gives those of one program where they differ by program, and asks for it', () => {
    const content = defaultContent(programLayout, platform);
    expect(scheduleLines(programLayout, platform, content, 'drive', 'brisk').upshifts[0].variant).toBe('1-2/brisk');
    expect(refusalOf(() => scheduleLines(programLayout, platform, content, 'drive'))).toEqual([
      'missingCoordinate',
      "Table 'up' needs 'program', which the operating point does not give.",
    ]);
  });

  it('names the known schedules when asked for another', () => {
    expect(refusalOf(() => scheduleLines(layout, platform, linesWith(), 'tow'))).toEqual([
      'unknownSchedule',
      "Layout version 3 of 'sandpiper' has no schedule 'tow'; its schedules: 'drive'.",
    ]);
  });
});

describe('the check of shift schedules', () => {
  it('finds nothing in sound lines', () => {
    expect(codesOf(linesWith())).toEqual([]);
  });

  it.each<[string, Partial<Lines>, unknown[][]]>([
    [
      'an upshift line below the downshift line back',
      { up: { '1-2': [500, 590, 1800] } },
      [['scheduleCrossing', 'blocking', 'up', '1-2', 1, 590, 600]],
    ],
    [
      'an upshift line on the downshift line back',
      { up: { '1-2': [500, 600, 1800] } },
      [['scheduleCrossing', 'blocking', 'up', '1-2', 1, 600, 600]],
    ],
    [
      'lines closer than the hysteresis',
      { up: { '1-2': [399, 1000, 1800] } },
      [
        ['scheduleHunting', 'warning', 'up', '1-2', 0, 399, 400],
        // 2 · 399 rpm of the input shaft in second gear.
        ['engineTooSlow', 'blocking', 'up', '1-2', 0, 399, 400],
      ],
    ],
    [
      'a skip downshift that calls for an upshift at once',
      { down: { '3-1': [0, 500, 1800] } },
      [['scheduleCrossing', 'blocking', 'up', '1-2', 2, 1800, 1800]],
    ],
    [
      'an upshift line that is not below the next',
      { up: { '1-2': [500, 1800, 1900] } },
      [['scheduleCrossing', 'blocking', 'up', '2-3', 1, 1800, 1800]],
    ],
    [
      'a downshift line that is not above the next',
      { down: { '2-1': [300, 600, 1500], '3-2': [700, 1200, 1500] } },
      [['scheduleCrossing', 'blocking', 'down', '3-2', 2, 1500, 1500]],
    ],
    [
      'an input shaft too slow after an upshift',
      { up: { '2-3': [799, 1800, 3000] }, down: { '3-2': [650, 1200, 2200] } },
      [['engineTooSlow', 'blocking', 'up', '2-3', 0, 799, 800]],
    ],
    [
      'an input shaft too fast after a downshift',
      { up: { '2-3': [1000, 1800, 3200] }, down: { '3-2': [700, 1200, 3001] } },
      [['engineTooFast', 'blocking', 'down', '3-2', 2, 3001, 3000]],
    ],
  ])('finds %s, at the cell', (_, lines, expected) => {
    expect(codesOf(linesWith(lines))).toEqual(expected);
  });

  it('takes bounds that are met exactly', () => {
    const lines = { up: { '1-2': [400, 1000, 1800], '2-3': [800, 1800, 3100] }, down: { '3-2': [700, 1200, 3000] } };
    expect(codesOf(linesWith(lines))).toEqual([]);
  });

  it('takes a downshift line at 0 rpm for never', () => {
    const never = { '3-2': [0, 0, 0], '2-1': [0, 0, 0], '3-1': [0, 0, 0] };
    expect(codesOf(linesWith({ down: never }))).toEqual([]);
  });

  it('looks at the break points of both tables, and names a cell of the one that has it', () => {
    // The upshift lines are straight; the downshift line has its knee at 50 %, where they have no break point.
    const content = linesWith(
      { up: { '1-2': [500, 550, 700], '2-3': [1000, 1500, 3000] }, down: { '2-1': [300, 650, 650] } },
      { up: [0, 25, 100] },
    );
    const findings = checkSchedules(layout, platform, content);
    expect(findings.map((entry) => [entry.code, entry.tableId, entry.variant, entry.cell, entry.bound])).toEqual([
      ['scheduleHunting', 'up', '1-2', { row: 0, column: 1 }, 575],
      ['scheduleCrossing', 'down', '2-1', { row: 0, column: 1 }, 600],
      ['scheduleHunting', 'up', '1-2', { row: 0, column: 2 }, 750],
      ['scheduleCrossing', 'up', '1-2', { row: 0, column: 2 }, 1100],
    ]);
  });

  it('says what was found, why it matters and what to change', () => {
    const messages = (lines: Partial<Lines>) =>
      checkSchedules(layout, platform, linesWith(lines)).map((entry) => entry.message);
    expect(messages({ up: { '1-2': [500, 590, 1800] } })).toEqual([
      "Table 'up', 1-2, cell at Pedal 50 %: found 590, expected more than 600 rpm: the lines of 2-1 and 1-2 must not meet, for one shift would call for the other. Raise the value or lower 2-1 in table 'down'.",
    ]);
    expect(messages({ up: { '1-2': [500, 650, 1800] } })).toEqual([
      "Table 'up', 1-2, cell at Pedal 50 %: found 650, expected at least 700 rpm: 100 rpm from the line of 2-1, for closer the gearbox hunts. Raise the value or lower 2-1 in table 'down'.",
    ]);
    expect(messages({ up: { '2-3': [790, 1800, 3000] }, down: { '3-2': [650, 1200, 2200] } })).toEqual([
      "Table 'up', 2-3, cell at Pedal 0 %: found 790, expected at least 800 rpm: after the shift the input shaft, and with it the engine once the converter is locked, turns at 790 rpm, allowed is at least 800. Raise the value.",
    ]);
  });

  it('uses the severities of the table that it names', () => {
    const lenient: Layout = {
      ...layout,
      tables: layout.tables.map((spec) => ({ ...spec, severities: { scheduleCrossing: 'warning' } })),
    };
    expect(codesOf(linesWith({ up: { '1-2': [500, 590, 1800] } }), lenient)[0].slice(0, 2)).toEqual([
      'scheduleCrossing',
      'warning',
    ]);
  });

  it('checks every program by itself', () => {
    const lines = (table: 'up' | 'down') =>
      Object.fromEntries(
        Object.entries(soundLines[table]).flatMap(([shift, line]) => [
          [`${shift}/calm`, line],
          [`${shift}/brisk`, shift === '1-2' ? [500, 590, 1800] : line],
        ]),
      );
    const content = defaultContent(programLayout, platform);
    const tables = {
      up: { axes: [[0, 50, 100]], values: lines('up') },
      down: { axes: [[0, 50, 100]], values: lines('down') },
    };
    expect(codesOf({ ...content, tables }, programLayout)).toEqual([
      ['scheduleCrossing', 'blocking', 'up', '1-2/brisk', 1, 590, 600],
    ]);
  });

  it('leaves lines alone that have no shape or no numbers, which other checks report', () => {
    const codes = (content: RevisionContent) => codesOf(content).map(([code]) => code);
    expect(codes(linesWith({ up: { '1-2': [500, Number.NaN, 1800] } }))).toEqual(['notANumber']);
    expect(codes(linesWith({ up: { '1-2': [500, 600] } }))).toEqual(['valueCount']);
    expect(codes(linesWith({}, { down: [0, 100, 50] }))).toEqual(['axisOrder']);
    const { down: _, ...tables } = linesWith().tables;
    expect(codes({ ...linesWith(), tables })).toEqual(['tableMissing']);
  });

  it('finds a crossing exactly when the lines meet somewhere', () => {
    const axis = fc.uniqueArray(fc.integer({ min: 0, max: 20 }), { minLength: 3, maxLength: 3 });
    const rising = axis.map((points) => points.sort((a, b) => a - b).map((point) => 5 * point));
    const line = fc.array(fc.integer({ min: 350, max: 900 }), { minLength: 3, maxLength: 3 });
    fc.assert(
      fc.property(rising, rising, line, line, (upAxis, downAxis, up, down) => {
        const far = { '2-3': [3000, 3000, 3000] };
        const content = linesWith(
          { up: { '1-2': up, ...far }, down: { '2-1': down, '3-2': [0, 0, 0], '3-1': [0, 0, 0] } },
          { up: upAxis, down: downAxis },
        );
        const places = Array.from({ length: 201 }, (_, i) => i / 2);
        const meets = places.some(
          (pedal) => interpolate([upAxis], up, [pedal]) <= interpolate([downAxis], down, [pedal]),
        );
        const codes = checkSchedules(layout, platform, content).map((entry) => entry.code);
        expect(codes.includes('scheduleCrossing')).toBe(meets);
      }),
    );
  });
});
