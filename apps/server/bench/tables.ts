import { canonicalJson, type Layout, type Platform, type RevisionContent, variantsOf } from '@syncline/calibration';
import { foundClub, LAYOUT, PLATFORM } from '../test/support/club.js';
import { startServer } from '../test/support/server.js';
import { type Figure, measure } from './measure.js';

const TABLES = 200;
const POINTS = 64;
const SYSTEM = { kind: 'system', id: null, name: 'bench', requestId: 'bench' } as const;

/** What differs between two revisions of 200 tables of 64 × 64, from request to answer. */
export async function benchTables(): Promise<Figure[]> {
  const server = await startServer();
  try {
    const club = await foundClub(server);
    const breakpoints = Array.from({ length: POINTS }, (_, i) => 100 * i);
    const [base] = LAYOUT.tables;
    const layout: Layout = {
      ...LAYOUT,
      version: 2,
      tables: Array.from({ length: TABLES }, (_, i) => ({
        ...base,
        id: `table${i}`,
        title: `Table ${i}`,
        repeat: 'once' as const,
        axes: base.axes.map((axis) => ({ ...axis, breakpoints })),
      })),
      rules: [],
    };
    server.store.platforms.addLayout({ actor: SYSTEM, layout });
    const revise = (parentId: string, message: string, content: RevisionContent) =>
      server.store.calibrations.createRevision({
        actor: SYSTEM,
        calibrationId: club.calibrationId,
        parentId,
        message,
        layoutVersion: 2,
        canonicalJson: canonicalJson(content),
      });
    const first = revise(
      club.revisionIds[1],
      'base',
      contentOf(layout, PLATFORM, () => 0),
    );
    const five = revise(
      first,
      'five tables',
      contentOf(layout, PLATFORM, (table) => (table < 5 ? 7 : 0)),
    );
    const cells = revise(
      five,
      'a cell of each',
      contentOf(layout, PLATFORM, (_, cell) => (cell === 2000 ? 7 : 0)),
    );
    const all = revise(
      cells,
      'all cells',
      contentOf(layout, PLATFORM, () => 7),
    );
    const figures: Figure[] = [];
    for (const [what, other] of [
      ['5 tables differ', five],
      ['one cell of each table differs', cells],
      ['every cell differs', all],
    ]) {
      const get = async () => {
        const response = await club.as.maintainer.get(`/compare/tables?base=${first}&other=${other}`);
        if (response.statusCode !== 200) throw new Error(response.body);
        return response;
      };
      const mib = ((await get()).body.length / 2 ** 20).toFixed(1);
      figures.push(await measure(`200 tables of 64 × 64, ${what} (${mib} MiB)`, get, { runs: 7 }));
    }
    return figures;
  } finally {
    await server.close();
  }
}

/** Values that are each other's no neighbours, with what is added to a table's cell. */
function contentOf(
  layout: Layout,
  platform: Platform,
  added: (table: number, cell: number) => number,
): RevisionContent {
  const axis = Array.from({ length: POINTS }, (_, i) => 100 * i);
  const tables = layout.tables.map((spec, table) => {
    const values = Array.from(
      { length: POINTS * POINTS },
      (_, cell) => ((cell * 37 + table * 11) % 900) + added(table, cell),
    );
    return [
      spec.id,
      { axes: [axis, axis], values: Object.fromEntries(variantsOf(spec, platform).map((name) => [name, values])) },
    ];
  });
  return { platformId: layout.platformId, layoutVersion: layout.version, tables: Object.fromEntries(tables) };
}
