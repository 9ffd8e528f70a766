import { afterEach, beforeAll, describe, expect, it, vi } from 'vitest';
import { z } from 'zod';

// The client reads the base path from the page that it runs in.
let client: typeof import('../src/api/client.js');
let problems: typeof import('../src/api/api-problem.js');
beforeAll(async () => {
  vi.stubGlobal('document', { baseURI: 'https://club.example/tools/syncline/' });
  client = await import('../src/api/client.js');
  problems = await import('../src/api/api-problem.js');
});
afterEach(() => vi.unstubAllGlobals());

const answerWith = (status: number, body: string, headers: Record<string, string> = {}) => {
  const fetched = vi.fn<(url: string, init: RequestInit) => Promise<Response>>(
    async () => new Response(body, { status, headers }),
  );
  vi.stubGlobal('fetch', fetched);
  return fetched;
};
const notFound = {
  type: 'about:blank',
  code: 'resource.notFound',
  status: 404,
  title: 'There is no such thing, or you may not see it',
  detail: 'There is no vehicle v9.',
  remedy: 'Check the address.',
  requestId: 'r1',
  fields: [{ path: 'body.title', message: 'is taken' }],
};

describe('the client', () => {
  it('asks below the path that the pages are served under, and leaves out what is empty', () => {
    expect(client.apiUrl('/shifts', { kind: '2-3', grade: undefined, find: '', loadMin: 0 })).toBe(
      '/tools/syncline/api/v1/shifts?kind=2-3&loadMin=0',
    );
  });

  it('hands on a problem document with what it says of a field', async () => {
    answerWith(404, JSON.stringify(notFound));
    const error = await client.get('/vehicles/v9', z.object({})).catch((caught: unknown) => caught);
    expect(error).toBeInstanceOf(problems.ApiProblem);
    expect(problems.isProblem(error, 'resource.notFound') && error.fieldMessage('title')).toBe('is taken');
  });

  it('calls an answer without a problem document a fault of the server, with the request id', async () => {
    answerWith(502, '<h1>Bad gateway</h1>', { 'x-request-id': 'r2' });
    await expect(client.get('/vehicles', z.object({}))).rejects.toMatchObject({
      document: { code: 'server.fault', status: 502, requestId: 'r2' },
    });
  });

  it('says when no answer came', async () => {
    vi.stubGlobal('fetch', async () => {
      throw new TypeError('fetch failed');
    });
    await expect(client.get('/vehicles', z.object({}))).rejects.toBeInstanceOf(problems.Unreachable);
  });

  it('gives each change a key of its own', async () => {
    const fetched = answerWith(200, '{}');
    await client.send('POST', '/vehicles', { body: {}, schema: z.object({}) });
    await client.send('POST', '/vehicles', { body: {}, schema: z.object({}) });
    const keys = fetched.mock.calls.map(([, init]) => (init.headers as Record<string, string>)['idempotency-key']);
    expect(new Set(keys).size).toBe(2);
  });

  it('reads a list to its end', async () => {
    const pages = [
      { items: [1, 2], nextCursor: 'b', totalCount: 3 },
      { items: [3], nextCursor: null, totalCount: 3 },
    ];
    const urls: string[] = [];
    vi.stubGlobal('fetch', async (url: string) => {
      urls.push(url);
      return Response.json(pages[urls.length - 1]);
    });
    const schema = z.object({ items: z.array(z.number()), nextCursor: z.string().nullable(), totalCount: z.number() });
    const all = await client.getAll('/numbers', schema, new AbortController().signal);
    expect(all).toEqual({ items: [1, 2, 3], totalCount: 3 });
    expect(urls[1]).toContain('cursor=b');
  });
});
