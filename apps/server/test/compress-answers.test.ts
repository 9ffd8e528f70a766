import { gunzipSync } from 'node:zlib';
import fastify, { type FastifyInstance } from 'fastify';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { addCompression } from '../src/plugins/compress-answers.ts';
import { isKnownContent } from '../src/routes/immutable.ts';

const LONG = { figures: Array.from({ length: 4000 }, (_, index) => index / 8) };
let app: FastifyInstance;

beforeAll(async () => {
  app = fastify();
  addCompression(app);
  app.get('/long', async () => LONG);
  app.get('/short', async () => ({ figure: 1 }));
  app.get('/file', async (_, reply) => reply.header('content-disposition', 'attachment').send(JSON.stringify(LONG)));
  app.get('/content', async (request, reply) => {
    if (isKnownContent(request, reply, 'abc')) return reply.code(304).send();
    return LONG;
  });
  await app.ready();
});
afterAll(() => app.close());

const get = (url: string, headers: Record<string, string>) => app.inject({ url, headers });

describe('long answers', () => {
  it('are packed for who takes gzip, and hold the same', async () => {
    const answer = await get('/long', { 'accept-encoding': 'gzip, deflate, br' });
    expect(answer.headers).toMatchObject({
      'content-encoding': 'gzip',
      'content-type': 'application/json; charset=utf-8',
      vary: 'accept-encoding',
    });
    expect(Number(answer.headers['content-length'])).toBe(answer.rawPayload.length);
    expect(JSON.parse(gunzipSync(answer.rawPayload).toString())).toEqual(LONG);
    expect(answer.rawPayload.length).toBeLessThan(JSON.stringify(LONG).length / 2);
  });

  it.each([
    ['no encoding', {}],
    ['another encoding', { 'accept-encoding': 'br' }],
    ['gzip refused', { 'accept-encoding': 'br, gzip;q=0' }],
  ])('are sent as they are for %s', async (_, headers) => {
    const answer = await get('/long', headers);
    expect(answer.headers['content-encoding']).toBeUndefined();
    expect(answer.headers.vary).toBe('accept-encoding');
    expect(answer.json()).toEqual(LONG);
  });

  it('keep a tag that is known again, weak since other bytes were sent', async () => {
    const first = await get('/content', { 'accept-encoding': 'gzip' });
    expect(first.headers.etag).toBe('W/"abc"');
    const again = await get('/content', { 'accept-encoding': 'gzip', 'if-none-match': String(first.headers.etag) });
    expect(again.statusCode).toBe(304);
    expect((await get('/content', {})).headers.etag).toBe('"abc"');
  });
});

it.each(['/short', '/file'])('an answer that is short or a file is sent as it is: %s', async (url) => {
  const answer = await get(url, { 'accept-encoding': 'gzip' });
  expect(answer.headers['content-encoding']).toBeUndefined();
});
