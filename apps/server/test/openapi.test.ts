import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { startServer, type TestServer } from './support/server.js';

type Json = Record<string, unknown>;
interface Operation extends Json {
  parameters?: { name: string; in: string; required?: boolean; schema: Json }[];
  responses: Record<string, { description: string }>;
  'x-access': string;
}

let server: TestServer;
let document: { openapi: string; info: Json; paths: Record<string, Record<string, Operation>> } & Json;
let operations: { name: string; path: string; operation: Operation }[];
beforeAll(async () => {
  server = await startServer();
  document = (await server.app.inject({ url: '/api/openapi.json' })).json();
  operations = Object.entries(document.paths).flatMap(([path, methods]) =>
    Object.entries(methods).map(([method, operation]) => ({
      name: `${method.toUpperCase()} ${path}`,
      path,
      operation,
    })),
  );
});
afterAll(() => server.close());

describe('the OpenAPI document', () => {
  it('is of version 3.1 and says what and which version it is', () => {
    expect(document.openapi).toMatch(/^3\.1\.\d+$/);
    expect(document.info).toMatchObject({ title: 'Syncline', version: expect.stringMatching(/^\d+\.\d+\.\d+/) });
  });

  it('lists every route of the API with its access', () => {
    const declared = server.routes
      .filter(({ method, url }) => method !== 'HEAD' && url.startsWith('/api/') && url !== '/api/openapi.json')
      .map(({ method, url, access }) => [`${method} ${url.replace(/:(\w+)/g, '{$1}')}`, access]);
    expect(Object.fromEntries(operations.map(({ name, operation }) => [name, operation['x-access']]))).toEqual(
      Object.fromEntries(declared),
    );
  });

  // OpenAPI 3.1, 4.8.9 and 4.8.12: each template parameter is declared and required; each response has a description.
  it('declares each parameter of a path as required, and only those', () => {
    const declared = operations.map(({ name, operation }) => {
      const inPath = (operation.parameters ?? []).filter((parameter) => parameter.in === 'path' && parameter.required);
      return [name, inPath.map((parameter) => parameter.name).sort()];
    });
    const named = operations.map(({ name, path }) => [
      name,
      [...path.matchAll(/\{(\w+)\}/g)].map(([, part]) => part).sort(),
    ]);
    expect(declared).toEqual(named);
  });

  it('describes each response, the refusal among them', () => {
    const responses = operations.flatMap(({ operation }) => Object.entries(operation.responses));
    expect(responses.filter(([status]) => !/^([1-5]\d\d|default)$/.test(status))).toEqual([]);
    expect(responses.filter(([, response]) => typeof response.description !== 'string')).toEqual([]);
    expect(responses.filter(([status]) => status === 'default')).toHaveLength(operations.length);
  });

  it('refers only to what it holds', () => {
    const references = [...JSON.stringify(document).matchAll(/"\$ref":"([^"]+)"/g)].map(([, reference]) => reference);
    expect(references.length).toBeGreaterThan(0);
    const broken = [...new Set(references)].filter((reference) => {
      const parts = reference.replace(/^#\//, '').split('/');
      return parts.reduce<unknown>((at, part) => (at as Json | undefined)?.[part], document) === undefined;
    });
    expect(broken).toEqual([]);
  });

  it('has no keyword that JSON Schema 2020-12 dropped', () => {
    const text = JSON.stringify(document);
    expect(text).not.toMatch(/"nullable":/);
    expect(text).not.toMatch(/"exclusive(Min|Max)imum":(true|false)/);
  });

  it('says what an upload may be', () => {
    const upload = document.paths['/api/v1/logs'].post as Operation & { requestBody: { content: Json } };
    expect(Object.keys(upload.requestBody.content)).toContain('application/octet-stream');
  });
});
