import { describe, expect, it } from 'vitest';
import { z } from 'zod';
import { lazySchemas } from '../lazy-schemas.ts';
import { lazily } from '../src/api/lazily.js';

const transform = lazySchemas().transform as (code: string, path: string) => { code: string } | null;

describe('schemas that are made when they are used', () => {
  it('each constant that begins with z, or with such a constant, is made later, and nothing else', () => {
    const code = [
      "import { z } from 'zod';",
      'export const WORDS = LIST.map((word) => word);',
      'const inner = z.object({ n: z.number() });',
      'export const outer = inner.extend({ w: z.enum(WORDS) });',
      'export const limit = Math.max(1, 2);',
    ].join('\n');
    const made = transform(code, '/packages/contract/dist/fleet.js')?.code;
    expect(made).toContain('const inner = /* @__PURE__ */ lazily(() => z.object({ n: z.number() }));');
    expect(made).toContain('export const outer = /* @__PURE__ */ lazily(() => inner.extend({ w: z.enum(WORDS) }));');
    expect(made).toContain('export const WORDS = LIST.map((word) => word);');
    expect(made).toContain('export const limit = Math.max(1, 2);');
  });

  it('other modules are left as they are', () => {
    expect(transform('export const a = z.string();', '/src/pages/fleet/fleet-page.tsx')).toBeNull();
  });

  it('a schema made later reads, refuses and is built upon like any other', () => {
    let count = 0;
    const inner = lazily(() => {
      count++;
      return z.object({ n: z.coerce.number().min(0), w: z.enum(['a', 'b']).optional() });
    });
    const outer = lazily(() => z.object({ items: z.array(inner), one: inner.extend({ x: z.string() }).nullable() }));
    expect(count).toBe(0);
    const read = outer.parse({ items: [{ n: '1', w: 'a', more: 1 }, { n: 2 }], one: null });
    expect(read).toEqual({ items: [{ n: 1, w: 'a' }, { n: 2 }], one: null });
    expect(outer.safeParse({ items: [{ n: -1 }], one: null }).error?.issues[0]?.path).toEqual(['items', 0, 'n']);
    expect(inner.shape.w.unwrap().options).toEqual(['a', 'b']);
    expect(inner instanceof z.ZodObject).toBe(true);
    expect(count).toBe(1);
  });
});
