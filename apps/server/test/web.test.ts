import { mkdirSync, mkdtempSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { brotliCompressSync, brotliDecompressSync } from 'node:zlib';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { startServer, type TestServer } from './support/server.js';

const SCRIPT = 'export const words = [];\n'.repeat(50);

let server: TestServer;
let webFolder: string;
beforeAll(async () => {
  webFolder = mkdtempSync(join(tmpdir(), 'syncline-web-'));
  mkdirSync(join(webFolder, 'assets'));
  writeFileSync(join(webFolder, 'index.html'), '<!doctype html><title>Syncline</title>');
  writeFileSync(join(webFolder, 'favicon.svg'), '<svg xmlns="http://www.w3.org/2000/svg"/>');
  writeFileSync(join(webFolder, 'assets', 'index-4f2a.js'), 'export {};');
  writeFileSync(join(webFolder, 'assets', 'packed-81ce.js'), SCRIPT);
  writeFileSync(join(webFolder, 'assets', 'packed-81ce.js.br'), brotliCompressSync(SCRIPT));
  server = await startServer({ webFolder });
});
afterAll(async () => {
  await server.close();
  rmSync(webFolder, { recursive: true, force: true });
});

const get = (url: string) => server.app.inject({ url });

describe('the web pages', () => {
  it.each(['/', '/fleet', '/logs/some-id?from=3', '/join/a-secret'])(
    'answer %s with the page, which reads the address',
    async (url) => {
      const response = await get(url);
      expect(response.statusCode).toBe(200);
      expect(response.body).toContain('<title>Syncline</title>');
      expect(response.headers['cache-control']).toBe('no-cache');
    },
  );

  it('keep hashed assets for good and ask again for the rest', async () => {
    expect((await get('/assets/index-4f2a.js')).headers['cache-control']).toBe('public, max-age=31536000, immutable');
    expect((await get('/favicon.svg')).headers['cache-control']).toBe('no-cache');
  });

  it('send what the build packed to a browser that takes it, and the script itself to others', async () => {
    const url = '/assets/packed-81ce.js';
    const packed = await server.app.inject({ url, headers: { 'accept-encoding': 'gzip, br' } });
    expect(packed.headers['content-encoding']).toBe('br');
    expect(packed.headers['content-type']).toContain('javascript');
    expect(packed.headers.vary).toMatch(/accept-encoding/i);
    expect(brotliDecompressSync(packed.rawPayload).toString()).toBe(SCRIPT);
    for (const accepted of ['gzip', 'identity']) {
      const plain = await server.app.inject({ url, headers: { 'accept-encoding': accepted } });
      expect(plain.headers['content-encoding']).toBeUndefined();
      expect(plain.body).toBe(SCRIPT);
    }
  });

  it.each([
    '/assets/gone.js',
    '/api/v1/nothing',
    '/api',
    '/apis.js',
    '/assets/../../package.json',
    '/..%2f..%2fetc%2fpasswd.txt',
  ])('have nothing at %s', async (url) => {
    const response = await get(url);
    expect(response.statusCode).toBe(404);
    expect(response.json().code).toBe('resource.notFound');
  });

  it('run their own scripts only', async () => {
    const policy = String((await get('/')).headers['content-security-policy']);
    expect(policy).toContain("script-src 'self';");
    expect(policy).toContain("frame-ancestors 'none'");
    expect(policy).not.toContain('upgrade-insecure-requests');
    expect((await get('/')).headers['x-content-type-options']).toBe('nosniff');
  });

  it('say how to be built when they were not', async () => {
    const bare = await startServer();
    try {
      const response = await bare.app.inject({ url: '/' });
      expect(response.statusCode).toBe(503);
      expect(response.body).toContain('npm run build');
    } finally {
      await bare.close();
    }
  });
});
