import { createRequire } from 'node:module';
import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import {
  contentHash,
  type DocumentAbout,
  documentSchema,
  type JsonSchema,
  readDocument,
  sha256Hex,
  writeDocument,
} from '../../src/index.js';
import { anyContent, contentWith, layout, platform } from '../example.ts';
import { refusalOf } from '../refusal.ts';

const about: DocumentAbout = {
  calibrationTitle: 'Sandpiper road',
  revisionNumber: 7,
  message: 'softer 1-2 when cold',
  authorName: 'Thrift',
  createdAt: '2026-03-01T09:00:00Z',
};
const content = contentWith({ offset: { all: [12.5] } });
const text = writeDocument({ layout, content, about });

/** The document as parsed, for tests that spoil it. */
function parsed(): Record<string, unknown> & { content: { tables: Record<string, unknown> } } {
  return JSON.parse(text);
}

function problemsOf(document: unknown): string[] {
  const read = readDocument(JSON.stringify(document), layout, platform);
  return read.kind === 'refused' ? read.problems.map(({ message }) => message) : [];
}

describe('writeDocument', () => {
  it('writes canonical JSON with the hash of the content', () => {
    expect(text).toMatch(/^\{"about":\{"authorName":"Thrift","calibrationTitle":"Sandpiper road",/);
    const document = parsed();
    expect(document).toMatchObject({
      format: 'syncline-calibration',
      formatVersion: 1,
      platformId: 'sandpiper',
      layoutVersion: 3,
      about,
      content,
    });
    const { content: inner } = document;
    expect(document.contentHash).toBe(contentHash(content));
    // The canonical text of the member is part of the whole, so anyone can hash it with a general tool.
    const at = text.indexOf('"content":') + '"content":'.length;
    const slice = text.slice(at, text.indexOf(',"contentHash"'));
    expect(JSON.parse(slice)).toEqual(inner);
    expect(sha256Hex(slice)).toBe(document.contentHash);
  });

  it('refuses content of another layout', () => {
    const other = { ...content, layoutVersion: 2 };
    expect(refusalOf(() => writeDocument({ layout, content: other, about }))[0]).toBe('otherLayout');
  });
});

describe('readDocument', () => {
  it('returns the very content, from a document or bare, compact or laid out', () => {
    fc.assert(
      fc.property(anyContent, fc.constantFrom(undefined, 2), (made, indent) => {
        const laidOut = (json: string) => JSON.stringify(JSON.parse(json), null, indent);
        const document = laidOut(writeDocument({ layout, content: made, about }));
        expect(readDocument(document, layout, platform)).toEqual({ kind: 'read', form: 'document', content: made });
        const bare = laidOut(JSON.stringify(made));
        expect(readDocument(bare, layout, platform)).toEqual({ kind: 'read', form: 'content', content: made });
      }),
      { numRuns: 50 },
    );
  });

  it('takes a document without hash and origin', () => {
    const { contentHash: _hash, about: _about, ...rest } = parsed();
    expect(problemsOf(rest)).toEqual([]);
  });

  it('refuses values changed after export, and says how to mean it', () => {
    const document = parsed();
    document.content.tables.offset = { axes: [], values: { all: [13] } };
    expect(problemsOf(document)[0]).toMatch(
      /^contentHash: found '[0-9a-f]{39}…', but the content has [0-9a-f]{64}\. .*remove the member contentHash if the change is meant\.$/,
    );
  });

  it.each<[string, (document: ReturnType<typeof parsed>) => void, string]>([
    [
      'another format',
      (d) => void (d.format = 'other'),
      "format: found 'other', expected 'syncline-calibration'. Choose another file.",
    ],
    [
      'another format version',
      (d) => void (d.formatVersion = 2),
      'formatVersion: found 2, expected 1. Export it in that version.',
    ],
    ['no content', (d) => void Reflect.deleteProperty(d, 'content'), "The document has no member 'content'. Add it."],
    ['an unknown member', (d) => void (d.extra = 1), "The document has a member 'extra', which is unknown. Remove it."],
    [
      'two platforms',
      (d) => void (d.platformId = 'tern'),
      "platformId: found 'tern', but sandpiper in content. Make them equal.",
    ],
    [
      'a text for a number',
      (d) => void (d.content.tables.offset = { axes: [], values: { all: ['13'] } }),
      "content.tables.offset.values.all[0]: found '13', expected a number.",
    ],
    [
      'null for a number',
      (d) => void (d.content.tables.offset = { axes: [], values: { all: [null] } }),
      'content.tables.offset.values.all[0]: found null, expected a number.',
    ],
    [
      'an object for a list',
      (d) => void (d.content.tables.offset = { axes: {}, values: { all: [1] } }),
      'content.tables.offset.axes: found an object, expected a list.',
    ],
    [
      'a list for an object',
      (d) => void (d.content.tables.offset = { axes: [], values: [[1]] }),
      'content.tables.offset.values: found a list, expected an object.',
    ],
    [
      'a member beside the values',
      (d) => void (d.content.tables.offset = { axes: [], values: { all: [1] }, unit: 'bar' }),
      "content.tables.offset has a member 'unit', which is unknown. Remove it; axes, values are known.",
    ],
    [
      'a missing member',
      (d) => void (d.content.tables.offset = { axes: [] }),
      "content.tables.offset has no member 'values'. Add it.",
    ],
  ])('names the place of %s', (_, spoil, message) => {
    const document = parsed();
    spoil(document);
    expect(problemsOf(document)).toEqual([message]);
  });

  it.each([
    [
      'another layout',
      { layoutVersion: 4 },
      "The content is for 'sandpiper', layout version 4; expected 'sandpiper', layout version 3. Choose that layout, or another file.",
    ],
    [
      'an unknown table',
      { tables: { ...content.tables, extra: { axes: [], values: { all: [1] } } } },
      "Table 'extra' is not in layout version 3. Remove it or mend its name.",
    ],
    [
      'the name of a prototype',
      { tables: { ...content.tables, constructor: { axes: [], values: { all: [1] } } } },
      "Table 'constructor' is not in layout version 3. Remove it or mend its name.",
    ],
    [
      'an unknown variant',
      { tables: { ...content.tables, offset: { axes: [], values: { all: [1], 7: [1] } } } },
      "Table 'offset' has values for '7'",
    ],
    [
      'too few values',
      { tables: { ...content.tables, offset: { axes: [], values: { all: [] } } } },
      "Table 'offset', all: found 0 values, expected 1 for its axes.",
    ],
  ])('refuses bare content of %s', (_, parts, message) => {
    expect(problemsOf({ ...content, ...parts })[0]).toContain(message);
  });

  it('refuses content without one of its tables', () => {
    const { offset, ...others } = content.tables;
    expect(offset.values.all).toEqual([12.5]);
    expect(problemsOf({ ...content, tables: others })).toEqual(["Table 'offset' (Offset) is missing. Add it."]);
  });

  it('leaves values outside limits to checkContent', () => {
    expect(problemsOf(contentWith({ offset: { all: [9999.1] } }))).toEqual([]);
  });
});

describe('parsing JSON', () => {
  it.each([
    [
      'a comma too many',
      '{\n  "format": 1,\n}',
      "Line 3: the JSON is damaged: expected a member name in quotation marks, found '}'.",
    ],
    ['a missing comma', '{\r\n"a": 1\r\n"b": 2}', "Line 3: the JSON is damaged: expected ',' or '}', found '\"'."],
    ['a list that is not closed', '{"a": [1, 2', "Line 1: the JSON is damaged: expected ',' or ']', found the end."],
    ['a word that is none', '{"a":\nTrue}', "Line 2: the JSON is damaged: expected a value, found 'T'."],
    ['a text that is not closed', '{"a": "b\n"}', 'Line 1: the JSON is damaged: a text is not closed.'],
    ['text behind the end', '{}\n{}', 'Line 2: the JSON is damaged: text follows the end.'],
    ['a member given twice', '{"a": 1,\n"a": 2}', "Line 2: the JSON is damaged: the member 'a' is given twice."],
    ['an escape that is none', '{"a": "\\x"}', 'The JSON is damaged: a text has an escape that is none.'],
    ['a colon left out', '{"a" 1}', "Line 1: the JSON is damaged: expected ':', found '1'."],
    ['nesting without end', '{"a":'.repeat(100_000), 'Line 1: the JSON is damaged: it nests deeper than 64.'],
  ])('names the line of %s', (_, damaged, message) => {
    const read = readDocument(damaged, layout, platform);
    expect(read.kind === 'refused' && read.problems[0].message).toContain(message);
  });

  it('takes what JSON.parse takes and refuses what it refuses', () => {
    const damaged = fc
      .tuple(
        fc.json({ maxDepth: 4 }),
        fc.nat(),
        fc.constantFrom('', '"', ',', '}', ']', '{', '[', ':', '1', '-', '.', 'e', '\\', ' ', 'null'),
      )
      .map(([json, at, mark]) => json.slice(0, at % (json.length + 1)) + mark + json.slice(at % (json.length + 1)));
    fc.assert(
      fc.property(damaged, (json) => {
        let isSound = true;
        try {
          JSON.parse(json);
        } catch {
          isSound = false;
        }
        const read = readDocument(json, layout, platform);
        const isCalledDamaged = read.kind === 'refused' && /the json is damaged/i.test(read.problems[0].message);
        const isTwice = read.kind === 'refused' && read.problems[0].message.includes('given twice');
        expect(isCalledDamaged && !isTwice).toBe(!isSound && !isTwice);
      }),
      { numRuns: 1000 },
    );
  });
});

/** Ajv, an independent validator of JSON Schema, where the server's packages have brought it along. */
interface Validator {
  compile(schema: JsonSchema): (value: unknown) => boolean;
}
function findValidator(): Validator | null {
  try {
    const { default: Ajv } = createRequire(import.meta.url)('ajv/dist/2020.js') as {
      default: new (options: object) => Validator;
    };
    return new Ajv({ strict: true, formats: { 'date-time': true } });
  } catch {
    console.warn('No ajv is installed: the schema of documents is not tried with a validator.');
    return null;
  }
}
const validator = findValidator();

describe.runIf(validator)('documentSchema, tried with ajv 8', () => {
  const ofLayout = documentSchema({ layout, platform });

  it.each([
    ['any layout', documentSchema()],
    ['its layout', ofLayout],
  ])('takes every document written for %s', (_, schema) => {
    const isValid = validator?.compile(schema);
    fc.assert(
      fc.property(anyContent, (made) => {
        expect(isValid?.(JSON.parse(writeDocument({ layout, content: made, about })))).toBe(true);
      }),
      { numRuns: 25 },
    );
  });

  const offset = (table: unknown) => ({ ...content, tables: { ...content.tables, offset: table } });
  it.each<[string, Record<string, unknown>, boolean]>([
    ['no hash', { contentHash: undefined }, true],
    ['another format', { format: 'other' }, false],
    ['a member beside', { extra: 1 }, false],
    ['a hash in capitals', { contentHash: 'A'.repeat(64) }, false],
    ['another platform', { platformId: 'tern' }, false],
    ['a table missing', { content: { ...content, tables: {} } }, false],
    ['a variant missing', { content: offset({ axes: [], values: {} }) }, false],
    ['a variant unknown', { content: offset({ axes: [], values: { all: [1], 7: [1] } }) }, false],
    ['too many values', { content: offset({ axes: [], values: { all: [1, 2] } }) }, false],
    ['an axis too many', { content: offset({ axes: [[1]], values: { all: [1] } }) }, false],
    ['a text for a number', { content: offset({ axes: [], values: { all: ['1'] } }) }, false],
  ])('judges a document with %s', (_, parts, expected) => {
    const document: unknown = JSON.parse(JSON.stringify({ ...parsed(), ...parts }));
    expect(validator?.compile(ofLayout)(document)).toBe(expected);
  });

  it('fixes the break points of an axis that the layout fixes, and only their number where a revision may move them', () => {
    const isValid = validator?.compile(ofLayout);
    const withAxes = (id: string, axes: number[][]) => {
      const tables = { ...content.tables, [id]: { ...content.tables[id], axes } };
      return { ...parsed(), content: { ...content, tables } };
    };
    expect(isValid?.(withAxes('hold', [[0, 50, 100]]))).toBe(false);
    expect(isValid?.(withAxes('byFluid', [[-30, 0, 90]]))).toBe(true);
    expect(isValid?.(withAxes('byFluid', [[-30, 0]]))).toBe(false);
  });
});
