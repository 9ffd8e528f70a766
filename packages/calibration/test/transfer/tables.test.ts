import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import {
  defaultContent,
  importContent,
  type RevisionContent,
  readTable,
  readTables,
  writeTable,
  writeTables,
} from '../../src/index.js';
import { anyContent, aTable, contentWith, layout, platform } from '../example.ts';
import { contentsOf, tables } from './example-image.ts';

const [base, , byFluid] = layout.tables;
const bytesOf = (text: string) => new TextEncoder().encode(text);

function problemsOf(text: string) {
  const read = readTables(text, layout, platform);
  return read.kind === 'refused' ? read.problems : [];
}

function readAll(text: string, over?: RevisionContent) {
  const read = importContent({ layout, platform, bytes: bytesOf(text), base: over });
  if (read.kind === 'refused') throw new Error(read.problems.map(({ message }) => message).join('\n'));
  return read;
}

const rows = (...lines: string[]) => lines.join('\r\n');

describe('writeTable', () => {
  it('leads rows by variant and break point and columns by the other axis', () => {
    const content = contentWith({ base: { '1-2': [300.5, 1, 2, 3, 4, 5, 6, 7, 8, 9, 10, 0.1] } });
    expect(writeTable(base, platform, content.tables.base)).toBe(
      rows(
        'table,base,pressure,kPa',
        'variant,load (%) by inputSpeed (rpm),1000,2000,4000,6000',
        'shift 1-2,0,300.5,1,2,3',
        'shift 1-2,40,4,5,6,7',
        'shift 1-2,100,8,9,10,0.1',
        'shift 2-3,0,300,300,300,300',
        'shift 2-3,40,300,300,300,300',
        'shift 2-3,100,300,300,300,300',
        '',
      ),
    );
  });

  it('leaves the second column of a table of one axis empty, and has none for a single value', () => {
    const content = contentWith({ offset: { all: [-0] } });
    expect(writeTable(byFluid, platform, content.tables.byFluid, { delimiter: '\t' })).toBe(
      rows('table\tbyFluid\tpressure\t', 'variant\tfluidTemperature (°C)\t-20\t20\t90', 'all\t\t1\t1\t1', ''),
    );
    expect(writeTable(layout.tables[4], platform, content.tables.offset)).toBe(
      rows('table,offset,pressure,kPa', 'variant,value', 'all,0', ''),
    );
  });

  it('writes one variant alone when asked', () => {
    const text = writeTable(layout.tables[3], platform, contentWith({}).tables.hold, { variant: '2' });
    expect(text).toBe(rows('table,hold,pressure,kPa', 'variant,load (%),0,40,100', '2,,600,600,600', ''));
  });

  it('puts quotation marks round a delimiter in a unit and an apostrophe before a formula', () => {
    const spec = aTable({ unit: 'a,b', quantity: '=SUM(A1)' });
    const content = defaultContent({ ...layout, tables: [spec] }, platform);
    const text = writeTable(spec, platform, content.tables.offset);
    expect(text).toContain(`table,offset,'=SUM(A1),"a,b"\r\n`);
    const read = readTable(text, spec, { ...layout, tables: [spec] }, platform);
    expect(read).toEqual({ kind: 'read', table: content.tables.offset });
  });
});

describe('tables as text', () => {
  it('return the very numbers, whichever the delimiter', () => {
    fc.assert(
      fc.property(anyContent, fc.constantFrom(',' as const, ';' as const, '\t' as const), (content, delimiter) => {
        expect(readAll(writeTables({ layout, platform, content, delimiter })).content).toEqual(content);
      }),
      { numRuns: 50 },
    );
  });

  it('return tables of any storage, repetition and program', () => {
    const target = { ...layout, tables, rules: [] };
    const anyDouble = () => fc.double({ noNaN: true, noDefaultInfinity: true }).map((value) => value + 0);
    fc.assert(
      fc.property(contentsOf(target, anyDouble), (content) => {
        const bytes = bytesOf(writeTables({ layout: target, platform, content }));
        expect(importContent({ layout: target, platform, bytes })).toMatchObject({ kind: 'content', content });
      }),
      { numRuns: 25 },
    );
  });

  it('return from a spreadsheet that saved semicolons, decimal commas, padded rows and a byte order mark', () => {
    const saved = (text: string) =>
      `\ufeff${text
        .replaceAll('\r\n', '\n')
        .split('\n')
        .map((line) => (line === '' ? ';;;;;;;' : `${line.replaceAll('.', ',')};;`))
        .join('\n')}`;
    fc.assert(
      fc.property(anyContent, (content) => {
        const read = readAll(saved(writeTables({ layout, platform, content, delimiter: ';' })));
        expect(read.content).toEqual(content);
        expect(read.notes[0]).toMatch(/^Cells are parted by semicolons/);
      }),
      { numRuns: 25 },
    );
  });

  it('say how they were understood', () => {
    const content = contentWith({ offset: { all: [0.5] } });
    const text = writeTables({ layout, platform, content, delimiter: '\t' }).replaceAll('.', ',');
    expect(readAll(text).notes).toEqual(['Cells are parted by tabs, decimals by a comma.']);
  });

  it('take variants in any order, with or without the word before a shift', () => {
    const content = contentWith({ base: { '1-2': Array.from({ length: 12 }, (_, i) => i) } });
    const lines = writeTable(base, platform, content.tables.base).trim().split('\r\n');
    const sorted = [
      ...lines.slice(0, 2),
      ...lines.slice(5),
      ...lines.slice(2, 5).map((line) => line.replace('shift ', '')),
    ];
    expect(readTable(rows(...sorted), base, layout, platform)).toEqual({ kind: 'read', table: content.tables.base });
  });

  it('replace only the tables and variants that a file has, and say what was left', () => {
    const before = contentWith({ hold: { 1: [1, 2, 3], 2: [4, 5, 6] } });
    const text = rows('table,hold,pressure,kPa', 'variant,load (%),0,40,100', '2,,7,8,9');
    const read = readAll(text, before);
    expect(read.content).toEqual(contentWith({ hold: { 1: [1, 2, 3], 2: [7, 8, 9] } }));
    expect(read.notes).toEqual([
      'Cells are parted by commas.',
      'Not in the file and left as they are: base, byProgram, byFluid, hold 1, hold 3, offset, fillTime.',
    ]);
  });

  it('need the revision for what a file leaves out', () => {
    const text = rows('table,hold,pressure,kPa', 'variant,load (%),0,40,100', '2,,7,8,9');
    const read = importContent({ layout, platform, bytes: bytesOf(text) });
    const found = read.kind === 'refused' ? read.problems : [];
    expect(found.map(({ tableId }) => tableId)).toEqual(['base', 'byProgram', 'byFluid', 'hold', 'offset', 'fillTime']);
    expect(found[3]).toEqual({
      line: 1,
      address: null,
      tableId: 'hold',
      variant: '1',
      message: "Line 1: table 'hold' lacks 1, 3. Add rows for them, or import into a revision that has them.",
    });
  });

  it('do not mix a variant of the revision with moved break points of the file', () => {
    const text = rows('table,fillTime,time,ms', 'variant,fluidTemperature (°C),-20,25,90', 'A,,1,2,3');
    const read = importContent({ layout, platform, bytes: bytesOf(text), base: contentWith({}) });
    expect(read.kind === 'refused' && read.problems.map(({ message }) => message)).toEqual([
      "Line 1: table 'fillTime' lacks B, C, and its break points are not those of the revision. Give all variants, or set them back.",
    ]);
  });
});

describe('readTables', () => {
  const table = ['table,base,pressure,kPa', 'variant,load (%) by inputSpeed (rpm),1000,2000,4000,6000'];
  const values = ['shift 1-2,0,1,2,3,4', 'shift 1-2,40,1,2,3,4', 'shift 1-2,100,1,2,3,4'];
  const holdHeads = 'variant,load (%),0,40,100';

  it.each<[what: string, lines: string[], line: number, message: string]>([
    [
      'an unknown table',
      ['table,bas,pressure,kPa'],
      1,
      "table 'bas' is not in layout version 3, which has base, byProgram, byFluid, hold, offset, fillTime. Mend the id.",
    ],
    [
      'another quantity',
      ['table,base,torque,kPa', ...table.slice(1), ...values],
      1,
      "table 'base': quantity 'torque', the layout has 'pressure'. Choose the right table.",
    ],
    [
      'another unit',
      ['table,base,pressure,bar', ...table.slice(1), ...values],
      1,
      "table 'base': unit 'bar', the layout has 'kPa'. Convert the values to it and name it.",
    ],
    [
      'something after the unit',
      ['table,base,pressure,kPa,x', ...table.slice(1), ...values],
      1,
      "table 'base': found 'x' after the unit. Remove it.",
    ],
    [
      'another unit of an axis',
      [table[0], 'variant,load (%) by inputSpeed (1/s),1000,2000,4000,6000', ...values],
      2,
      "table 'base': column head 'load (%) by inputSpeed (1/s)', expected 'load (%) by inputSpeed (rpm)'. Mend it, or choose the right table.",
    ],
    [
      'too few break points',
      [table[0], 'variant,load (%) by inputSpeed (rpm),1000,2000', ...values],
      2,
      "table 'base': found 2 break points of Input speed, expected 4. Their count is fixed.",
    ],
    [
      'break points that do not rise',
      [table[0], 'variant,load (%) by inputSpeed (rpm),1000,4000,2000,6000', ...values],
      2,
      "table 'base': break point 2000 of Input speed does not rise above 4000. Put them in order.",
    ],
    [
      'a moved break point of a fixed axis',
      ['table,hold,pressure,kPa', 'variant,load (%),0,50,100', '1,,1,2,3'],
      2,
      "table 'hold': break point 50 of Load, expected 40 %. The layout fixes them; set it back.",
    ],
    [
      'a moved break point of fixed rows',
      [...table, 'shift 1-2,0,1,2,3,4', 'shift 1-2,50,1,2,3,4', values[2]],
      4,
      "table 'base': break point 50 of Load, expected 40 %. The layout fixes them; set it back.",
    ],
    [
      'too few rows',
      [...table, ...values.slice(0, 2)],
      3,
      "table 'base', 1-2: found 2 of 3 rows. Add those that are missing.",
    ],
    [
      'too many rows',
      [...table, ...values, values[2]],
      6,
      "table 'base', 1-2: there are more than 3 rows, the break points of Load. Remove what is too many.",
    ],
    [
      'too few values',
      [...table, ...values.slice(0, 2), 'shift 1-2,100,1,2,3'],
      5,
      "table 'base', 1-2: found 3 values, expected 4.",
    ],
    [
      'an empty cell',
      [...table, 'shift 1-2,0,1,,3,4', ...values.slice(1)],
      3,
      "table 'base', 1-2: column 4: it is empty, expected a number.",
    ],
    [
      'NaN',
      [...table, 'shift 1-2,0,1,NaN,3,4', ...values.slice(1)],
      3,
      "table 'base', 1-2: column 4: found 'NaN', expected a plain number.",
    ],
    [
      'a number too large',
      [...table, 'shift 1-2,0,1,1e999,3,4', ...values.slice(1)],
      3,
      "table 'base', 1-2: column 4: '1e999' is beyond what a number can hold.",
    ],
    [
      'a decimal comma among commas',
      [...table, 'shift 1-2,0,1,"2,5",3,4', ...values.slice(1)],
      3,
      "table 'base', 1-2: column 4: found '2,5', expected a plain number.",
    ],
    [
      'an unknown variant',
      [...table, 'shift 1-3,0,1,2,3,4', ...values],
      3,
      "table 'base': variant 'shift 1-3' is unknown; known are shift 1-2, shift 2-3. Mend it.",
    ],
    [
      'a shift that became a date',
      [...table, '02. Jan,0,1,2,3,4', ...values],
      3,
      "table 'base': variant '02. Jan' is unknown; known are shift 1-2, shift 2-3. A spreadsheet may have taken a shift for a date. Mend it.",
    ],
    [
      'a variant given twice',
      ['table,hold,pressure,kPa', holdHeads, '1,,1,2,3', '1,,4,5,6'],
      4,
      "table 'hold', 1: it has its values on line 3 already. Remove one of the two.",
    ],
    [
      'a row head where no axis is',
      ['table,hold,pressure,kPa', holdHeads, '1,5,1,2,3'],
      3,
      "table 'hold', 1: found '5' in the second column, which has no axis. Empty it.",
    ],
    [
      'a table given twice',
      ['table,hold,pressure,kPa', holdHeads, '1,,1,2,3', '', 'table,hold,pressure,kPa', holdHeads, '1,,1,2,3'],
      5,
      "table 'hold' stands on line 1 already. Remove one of the two.",
    ],
    [
      'a table without heads',
      ['table,hold,pressure,kPa'],
      1,
      "table 'hold': its line of column heads ('variant', ...) is missing.",
    ],
    [
      'a table without values',
      ['table,hold,pressure,kPa', holdHeads],
      1,
      "table 'hold': it has no values. Add a row for each variant.",
    ],
    [
      'a column head where no axis is',
      ['table,offset,pressure,kPa', 'variant,value,5', 'all,1'],
      2,
      "table 'offset': it has no axis. Remove the other column heads.",
    ],
  ])('names line and table of %s', (_, lines, line, message) => {
    const [found, ...others] = problemsOf(rows(...lines));
    expect([found.line, found.message]).toEqual([line, `Line ${line}: ${message}`]);
    expect(others).toEqual([]);
  });

  it('notices that two decimal marks in a file would make one of them a mark of thousands', () => {
    const lines = ['table;hold;pressure;kPa', 'variant;load (%);0;40;100', '1;;1,5;1.000;3'];
    expect(problemsOf(rows(...lines)).map(({ message }) => message)).toEqual([
      "Line 3: table 'hold', 1: column 4: found '1.000', but numbers before it have the decimal mark ','.",
    ]);
  });

  it('names the first row of another variant whose moved break points differ', () => {
    const spec = { ...base, axes: [{ ...base.axes[0], editable: true }, base.axes[1]] };
    const lines = [...table, ...values, ...values.map((row) => row.replace('1-2', '2-3').replace(',40,', ',41,'))];
    const read = readTables(rows(...lines), { ...layout, tables: [spec] }, platform);
    expect(read.kind === 'refused' && read.problems.map(({ message }) => message)).toEqual([
      "Line 7: table 'base', 2-3: break point 41 of Load, but 40 for the first variant. Make them equal.",
    ]);
  });

  it('refuses a file of one table that has another', () => {
    const text = writeTables({ layout, platform, content: contentWith({}) });
    const read = readTable(text, base, layout, platform);
    expect(read.kind === 'refused' && read.problems[0].message).toBe(
      "Line 10: found table 'byProgram', expected only 'base'. Choose its own file.",
    );
  });

  it('stops at fifty problems', () => {
    expect(problemsOf(rows(...table, ...Array.from({ length: 300 }, () => 'x,0,1,2,3,4')))).toHaveLength(50);
  });
});
