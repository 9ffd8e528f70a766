import { cellCount } from '../document/default-content.js';
import type { Layout, TableSpec } from '../layout/layout.js';
import type { Platform } from '../layout/platform.js';
import { variantsOf } from '../layout/variants.js';
import { DOCUMENT_FORMAT, DOCUMENT_FORMAT_VERSION } from './document.js';

/** A JSON Schema, itself plain JSON. */
export type JsonSchema = Readonly<Record<string, unknown>>;

const TEXT = { type: 'string' };
const NUMBERS = { type: 'array', items: { type: 'number' } };

/**
 * The JSON Schema (draft 2020-12) of a calibration document: of any, or with a layout and its platform of that layout
 * version alone, with its tables, variants and numbers of break points and values. It says nothing of limits, which
 * `checkContent` judges, and cannot say that `contentHash` is the hash of `content`.
 */
export function documentSchema(target?: { readonly layout: Layout; readonly platform: Platform }): JsonSchema {
  const platformId = target ? { const: target.layout.platformId } : { type: 'string', minLength: 1 };
  const layoutVersion = target ? { const: target.layout.version } : { type: 'integer', minimum: 1 };
  const name = target ? `${target.layout.platformId}:${target.layout.version}` : 'any';
  return {
    $schema: 'https://json-schema.org/draft/2020-12/schema',
    $id: `urn:${DOCUMENT_FORMAT}:${DOCUMENT_FORMAT_VERSION}:${name}`,
    title: target ? `Calibration document, ${target.layout.title}` : 'Calibration document',
    ...objectOf(
      {
        format: { const: DOCUMENT_FORMAT },
        formatVersion: { const: DOCUMENT_FORMAT_VERSION },
        platformId,
        layoutVersion,
        contentHash: {
          description: 'SHA-256 of the content as canonical JSON (RFC 8785). Left out, it is not checked.',
          type: 'string',
          pattern: '^[0-9a-f]{64}$',
        },
        about: aboutSchema(),
        content: objectOf({
          platformId,
          layoutVersion,
          tables: target ? tablesSchema(target.layout, target.platform) : anyTables(),
        }),
      },
      ['contentHash', 'about'],
    ),
  };
}

function aboutSchema(): JsonSchema {
  return {
    description: 'Where the content came from; for people.',
    ...objectOf({
      calibrationTitle: TEXT,
      revisionNumber: { type: 'integer', minimum: 1 },
      message: TEXT,
      authorName: TEXT,
      createdAt: { type: 'string', format: 'date-time' },
    }),
  };
}

function anyTables(): JsonSchema {
  return {
    type: 'object',
    additionalProperties: objectOf({
      axes: { type: 'array', maxItems: 2, items: { ...NUMBERS, minItems: 1 } },
      values: { type: 'object', minProperties: 1, additionalProperties: { ...NUMBERS, minItems: 1 } },
    }),
  };
}

function tablesSchema(layout: Layout, platform: Platform): JsonSchema {
  return objectOf(Object.fromEntries(layout.tables.map((spec) => [spec.id, tableSchema(spec, platform)])));
}

function tableSchema(spec: TableSpec, platform: Platform): JsonSchema {
  const count = cellCount(spec.axes.map((axis) => axis.breakpoints));
  const values = { ...NUMBERS, minItems: count, maxItems: count };
  return {
    title: spec.title,
    description: `${spec.quantity} in ${spec.unit || 'no unit'}, row-major, the first axis slowest`,
    ...objectOf({
      axes: axesSchema(spec),
      values: objectOf(Object.fromEntries(variantsOf(spec, platform).map((variant) => [variant, values]))),
    }),
  };
}

function axesSchema({ axes }: TableSpec): JsonSchema {
  // 2020-12 forbids an empty prefixItems.
  if (axes.length === 0) return { type: 'array', maxItems: 0 };
  return {
    type: 'array',
    minItems: axes.length,
    maxItems: axes.length,
    prefixItems: axes.map(({ title, unit, breakpoints, editable }) => {
      const { length } = breakpoints;
      const about = { title, description: `break points in ${unit || 'no unit'}, rising` };
      return editable ? { ...about, ...NUMBERS, minItems: length, maxItems: length } : { ...about, const: breakpoints };
    }),
  };
}

/** An object with these members and no others, all of them required but for the optional ones. */
function objectOf(properties: Readonly<Record<string, unknown>>, optional: readonly string[] = []): JsonSchema {
  const required = Object.keys(properties).filter((name) => !optional.includes(name));
  return { type: 'object', properties, required, additionalProperties: false };
}
