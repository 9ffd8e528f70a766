import { createHash, createPublicKey, verify } from 'node:crypto';
import { contentHash, crc32, type RevisionContent } from '@syncline/calibration';
import type { DraftResponse, Problem, RevisionResponse } from '@syncline/contract';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import type { Client } from './support/client.js';
import { contentWith, foundClub, made } from './support/club.js';
import { edited, SECOND_LAYOUT } from './support/second-layout.js';
import { startServer, type TestServer } from './support/server.js';

let server: TestServer;
let eryngo: Client;
let calibrationId: string;
let revision: RevisionResponse;
let first: RevisionResponse;
beforeAll(async () => {
  server = await startServer();
  eryngo = (await foundClub(server)).as.maintainer;
  await made(eryngo.post('/platforms/skua/layouts', SECOND_LAYOUT));
  calibrationId = (await made(eryngo.post('/calibrations', { title: 'Dune/north', platformId: 'skua' }))).id;
  const path = `/calibrations/${calibrationId}/revisions`;
  first = await made(eryngo.post(path, { parentId: null, message: 'first', content: contentWith(300) }));
  const draft = await made(eryngo.post(`/revisions/${first.id}/migration`, { to: 2 }));
  const content = edited(draft.content, 'basePressure', (value, i) => value + i);
  const saved = await made(eryngo.put(`/drafts/${draft.id}/content`, { version: 1, content }));
  const body = { contentHash: saved.contentHash, message: 'second layout' };
  revision = await made(eryngo.post(`/drafts/${draft.id}/revision`, body));
});
afterAll(() => server.close());

const exported = (query: string, id = revision.id) => eryngo.get(`/revisions/${id}/export?${query}`);
const importFile = (bytes: string | Buffer, query: Record<string, string> = {}, type = 'application/octet-stream') =>
  eryngo.post(`/calibrations/${calibrationId}/import?${new URLSearchParams(query)}`, bytes, { 'content-type': type });

describe('an exported file', () => {
  it.each([
    ['document', 'json', 'application/json; charset=utf-8'],
    ['csv', 'csv', 'text/csv; charset=utf-8'],
    ['tsv', 'tsv', 'text/tab-separated-values; charset=utf-8'],
    ['intelHex', 'hex', 'text/plain; charset=us-ascii'],
    ['sRecord', 'srec', 'text/plain; charset=us-ascii'],
    ['binary', 'bin', 'application/octet-stream'],
  ])('as %s comes back as a draft of the same content', async (format, ending, type) => {
    const file = await exported(`format=${format}`);
    expect(file.headers).toMatchObject({
      'content-type': type,
      'content-disposition': expect.stringContaining(`filename="Dune_north r2.${ending}"`),
      'x-content-sha256': createHash('sha256').update(file.rawPayload).digest('hex'),
    });
    const query = { fileName: `maps.${ending}`, parent: revision.id };
    const draft: DraftResponse = await made(importFile(file.rawPayload, query, type));
    expect(draft).toMatchObject({
      origin: 'import',
      title: `Imported from maps.${ending}`,
      isUnchanged: true,
      contentHash: revision.contentHash,
      originNote: expect.stringContaining(`maps.${ending}, read as`),
    });
  });

  it('is not sent again to who has it', async () => {
    const { headers } = await exported('format=csv');
    const path = `/revisions/${revision.id}/export?format=csv`;
    const again = await eryngo.get(path, { 'if-none-match': String(headers.etag) });
    expect([again.statusCode, again.body]).toEqual([304, '']);
  });

  it('may be one table, from which the others are left as the parent has them', async () => {
    const file = (await exported('format=csv&table=basePressure')).body;
    expect(file.split('\r\n').slice(0, 3)).toEqual([
      'table,basePressure,pressure,kPa',
      'variant,load (%) by inputSpeed (rpm),1000,3000',
      'shift 1-2,0,300,301',
    ]);
    const draft: DraftResponse = await made(importFile(file.replace('300,301', '300,333'), { parent: revision.id }));
    const { content } = revision;
    expect(draft.content).toEqual(edited(content, 'basePressure', (v, i) => (i === 1 ? 333 : v), '1-2'));
    expect(draft.originNote).toContain('left as they are: programFactor, upshiftLine, downshiftLine');
    expect((await exported('format=csv&table=none')).json().code).toBe('request.invalid');
  });

  it('is the memory image that the layout maps, with its checksum in place', async () => {
    const image = (await exported('format=binary')).rawPayload;
    expect(image).toHaveLength(256);
    expect(image.readUInt16BE(2)).toBe(301);
    expect([...image.subarray(0x30, 0x33)]).toEqual([0, 50, 100]);
    expect(image.readUInt32BE(0xfc)).toBe(crc32(image.subarray(0, 0xfc)));
  });

  it('is no image where the layout has no map', async () => {
    for (const format of ['intelHex', 'sRecord', 'binary']) {
      expect((await exported(`format=${format}`, first.id)).json()).toMatchObject({
        code: 'export.impossible',
        detail: expect.stringContaining('image map'),
      });
    }
  });

  it('of a draft is text only, since nothing unchecked goes into a control unit', async () => {
    const draft: DraftResponse = await made(
      eryngo.post(`/calibrations/${calibrationId}/drafts`, { parentId: revision.id }),
    );
    const get = (format: string) => eryngo.get(`/drafts/${draft.id}/export?format=${format}`);
    expect((await get('csv')).body).toBe((await exported('format=csv')).body);
    expect(contentHash((await get('document')).json() as RevisionContent)).toBe(draft.contentHash);
    for (const format of ['intelHex', 'sRecord', 'binary']) {
      expect((await get(format)).json().code).toBe('export.impossible');
    }
  });
});

describe('a file that cannot be taken', () => {
  const hex = async () => (await exported('format=intelHex')).body;
  const srec = async () => (await exported('format=sRecord')).body;
  const csv = async () => (await exported('format=csv')).body;
  const document = async () => (await exported('format=document')).json();
  const json = async (change: (text: string) => string) => change(JSON.stringify((await document()).content));

  /** Without its second line, or with a digit of it changed. */
  const lines = (text: string, change: (line: string) => string | undefined) =>
    text
      .split('\n')
      .flatMap((line, i) => (i === 1 ? (change(line) ?? []) : [line]))
      .join('\n');
  const flip = (line: string) => line.replace(/[0-9A-F](?=[\r]?$)/, (digit) => (digit === '0' ? '1' : '0'));
  /** A data record of Intel HEX (Intel 1988: the bytes of a record sum to 0 modulo 256). */
  const hexRecord = (address: number, type: number, bytes: number[]) => {
    const record = [bytes.length, address >> 8, address & 0xff, type, ...bytes];
    const checksum = -record.reduce((sum, byte) => sum + byte, 0) & 0xff;
    return `:${Buffer.from([...record, checksum])
      .toString('hex')
      .toUpperCase()}\n`;
  };

  it.each<[string, () => Promise<string | Buffer>, Partial<Problem['importProblems'] & object>[number] | object]>([
    ['nothing at all', async () => '', { message: expect.stringContaining('empty') }],
    [
      'a picture',
      async () => Buffer.from('89504e470d0a1a0a0000000d', 'hex'),
      { message: expect.stringMatching(/no known format/) },
    ],
    ['damaged JSON', async () => '{"format": "syncline-calibration",', { line: 1 }],
    ['a document of another format', async () => '{"format": "other"}', { message: expect.stringContaining('format') }],
    [
      'a document that was changed after export',
      async () => JSON.stringify(await document()).replace('[300,301,', '[300,302,'),
      { message: expect.stringContaining('contentHash') },
    ],
    [
      'content of the wrong shape',
      () => json((text) => text.replace('[300,301,', '[301,')),
      { tableId: 'basePressure' },
    ],
    [
      'content with an unknown table',
      () => json((text) => text.replace('"upshiftLine"', '"strange"')),
      { tableId: 'strange' },
    ],
    ['content with NaN', () => json((text) => text.replace('[300,301,', '[300,NaN,')), { line: 1 }],
    ['content of another layout', () => json((text) => text.replace('"layoutVersion":2', '"layoutVersion":1')), {}],
    [
      'tables in another unit',
      async () => (await csv()).replace('pressure,kPa', 'pressure,bar'),
      { line: 1, tableId: 'basePressure' },
    ],
    [
      'an unknown table',
      async () => (await csv()).replace('table,programFactor', 'table,strange'),
      { message: expect.stringContaining('strange') },
    ],
    ['NaN in a table', async () => (await csv()).replace('300,301', '300,NaN'), { line: 3, tableId: 'basePressure' }],
    ['a value too many', async () => (await csv()).replace('300,301', '300,301,302'), { line: 3 }],
    ['a truncated record (Intel HEX)', async () => lines(await hex(), (line) => line.slice(0, -4)), { line: 2 }],
    ['a bad checksum (Intel HEX)', async () => lines(await hex(), flip), { line: 2 }],
    [
      'an address outside the map (Intel HEX)',
      async () => `${hexRecord(0x9000, 0, [1, 2, 3, 4])}${await hex()}`,
      { address: 0x9000 },
    ],
    ['records that end early (Intel HEX)', async () => (await hex()).replace(':00000001FF', ''), {}],
    ['a truncated record (S-record)', async () => lines(await srec(), (line) => line.slice(0, -4)), { line: 2 }],
    ['a bad checksum (S-record)', async () => lines(await srec(), flip), { line: 2 }],
    [
      'an image whose checksum does not hold',
      async () => {
        const image = (await exported('format=binary')).rawPayload;
        image[1] ^= 1;
        return image;
      },
      { address: 0x80fc },
    ],
    ['an image of another size', async () => (await exported('format=binary')).rawPayload.subarray(0, 255), {}],
  ])('is refused whole, with the place: %s', async (_, file, place) => {
    const before = server.store.read.audit.list({ limit: 1 }).totalCount;
    const refused = await importFile(await file(), { parent: revision.id, fileName: 'maps' });
    const { code, importProblems = [] }: Problem = refused.json();
    expect([refused.statusCode, code]).toEqual([422, 'import.refused']);
    expect(importProblems.length).toBeGreaterThan(0);
    expect(importProblems[0]).toMatchObject(place ?? {});
    expect(importProblems.every(({ message }) => message.length > 0)).toBe(true);
    expect(server.store.read.audit.list({ limit: 1 }).totalCount).toBe(before);
    expect(server.store.read.drafts.listOpen(calibrationId).every(({ title }) => title !== 'Imported from maps')).toBe(
      true,
    );
  });

  it('is refused unread when it is too large', async () => {
    const refused = await importFile(Buffer.alloc(16 * 1024 ** 2 + 1), { parent: revision.id });
    expect(refused.json().code).toBe('request.tooLarge');
  });

  it('needs its parent where it has some tables only', async () => {
    const file = (await exported('format=csv&table=basePressure')).body;
    const refused = await importFile(file, { line: 'imported' });
    expect(refused.json()).toMatchObject({
      code: 'import.refused',
      importProblems: [{ tableId: 'programFactor' }, { tableId: 'upshiftLine' }, { tableId: 'downshiftLine' }],
    });
  });

  it('begins a line of its own without a parent', async () => {
    const file = (await exported('format=document')).body;
    expect((await importFile(file)).json().code).toBe('revision.notNewest');
    expect(await made(importFile(file, { line: 'imported' }))).toMatchObject({ line: 'imported', parentId: null });
  });
});

describe('what vouches for content', () => {
  it('is a signature over the very bytes that the content route sends, under the key that anybody may fetch', async () => {
    const { body: canonical } = await eryngo.get(`/revisions/${revision.id}/content`);
    const signature = await made(eryngo.get(`/revisions/${revision.id}/signature`));
    const key = (await server.app.inject({ url: '/api/v1/signing-key' })).json();
    expect(signature).toMatchObject({ algorithm: 'Ed25519', keyId: key.keyId, contentHash: revision.contentHash });
    const bytes = Buffer.from(signature.signature, 'base64');
    expect(verify(null, Buffer.from(canonical), createPublicKey(key.publicKeyPem), bytes)).toBe(true);
    expect(verify(null, Buffer.from(`${canonical} `), createPublicKey(key.publicKeyPem), bytes)).toBe(false);
    const hash = createHash('sha256').update(Buffer.from(key.publicKeyHex, 'hex')).digest('hex');
    expect(key.keyId).toBe(hash.slice(0, 16));
  });
});

describe('the schema of a document', () => {
  it('is JSON Schema for this layout', async () => {
    const response = await eryngo.get('/platforms/skua/layouts/2/document-schema');
    expect(response.headers['content-type']).toBe('application/schema+json; charset=utf-8');
    expect(response.json()).toMatchObject({ $schema: 'https://json-schema.org/draft/2020-12/schema' });
    expect(Object.keys(response.json().properties.content.properties.tables.properties)).toEqual(
      SECOND_LAYOUT.tables.map(({ id }) => id),
    );
    expect((await eryngo.get('/platforms/skua/layouts/9/document-schema')).json().code).toBe('resource.notFound');
  });
});
