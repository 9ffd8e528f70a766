import { join } from 'node:path';
import { type Plugin, parseAst } from 'vite';

/** Where schemas are made as a module is read: the contract and the addresses of pages. */
const SCHEMAS = /(packages[\\/]contract[\\/]dist[\\/].*\.js|-search\.ts)$/;
const LAZILY = join(import.meta.dirname, 'src', 'api', 'lazily.ts');

/** As much of a syntax tree as is looked at. */
interface Node {
  readonly type: string;
  readonly start: number;
  readonly end: number;
  readonly [key: string]: unknown;
}

/**
 * Has each schema of a module made when it is first used. Made at once, those of one page are two thousand and cost a
 * slow machine a quarter of a second, while a page reads its answers with a few.
 */
export function lazySchemas(): Plugin {
  return {
    name: 'lazy-schemas',
    enforce: 'post',
    apply: 'build',
    transform(code, path) {
      if (!SCHEMAS.test(path)) return null;
      const known = new Set(['z']);
      let lazy = '';
      let end = 0;
      for (const { name, start, end: after } of constants(parseAst(code).body as unknown as Node[])) {
        if (!known.has(name.of)) continue;
        known.add(name.own);
        lazy += `${code.slice(end, start)}/* @__PURE__ */ lazily(() => ${code.slice(start, after)})`;
        end = after;
      }
      if (end === 0) return null;
      return { code: `import { lazily } from ${JSON.stringify(LAZILY)};\n${lazy}${code.slice(end)}`, map: null };
    },
  };
}

/** Constants of a module that are made by a chain of calls, with what the chain begins with. */
function* constants(body: readonly Node[]) {
  for (const statement of body) {
    const declaration = (statement['declaration'] ?? statement) as Node;
    if (declaration.type !== 'VariableDeclaration') continue;
    for (const { id, init } of declaration['declarations'] as { id: Node; init: Node | null }[]) {
      if (init?.type !== 'CallExpression') continue;
      yield { name: { own: String(id['name']), of: beginning(init) }, start: init.start, end: init.end };
    }
  }
}

/** `z` of `z.object({}).strict()`. */
function beginning(node: Node): string {
  if (node.type === 'CallExpression') return beginning(node['callee'] as Node);
  if (node.type === 'MemberExpression') return beginning(node['object'] as Node);
  return String(node['name']);
}
