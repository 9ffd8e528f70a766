import swagger from '@fastify/swagger';
import { type Access, problem } from '@syncline/contract';
import type { FastifyInstance } from 'fastify';
import { jsonSchemaTransform } from 'fastify-type-provider-zod';
import { z } from 'zod';
import { isKept, MAX_KEY_LENGTH } from './idempotency.js';

const problemReference = { $ref: '#/components/schemas/Problem' };

/** Describes every route in OpenAPI 3.1 at /api/openapi.json; `x-access` says who may call it. */
export async function addOpenApi(
  app: FastifyInstance,
  { version, sessionCookie }: { version: string; sessionCookie: string },
): Promise<void> {
  await app.register(swagger, {
    openapi: {
      openapi: '3.1.0',
      info: {
        title: 'Syncline',
        version,
        description: 'Calibrations, vehicles, drive logs, shifts and what the fleet makes of them.',
      },
      components: {
        schemas: { Problem: z.toJSONSchema(problem, { target: 'draft-2020-12', io: 'output' }) as object },
        securitySchemes: {
          session: { type: 'apiKey', in: 'cookie', name: sessionCookie },
          token: {
            type: 'http',
            scheme: 'bearer',
            description: 'A personal API token; what it was made for limits it.',
          },
        },
      },
    },
    transform: (document) => {
      const { schema, url } = jsonSchemaTransform({ ...document, schema: document.schema ?? {} });
      const access = document.route.config?.access;
      return {
        url,
        schema: {
          ...schema,
          // A body that is read as raw bytes has no schema to check it by.
          ...(schema.consumes && !schema.body && { body: { type: 'string', format: 'binary' } }),
          ...(isKept(document.route) && { headers: idempotencyHeader }),
          'x-access': access,
          security: securityOf(access),
          response: { ...(schema.response as object), default: problemResponse },
        },
      };
    },
  });
  app.get('/api/openapi.json', { config: { access: 'public' }, schema: { hide: true } }, async () => app.swagger());
}

/** Sign-in itself is for people alone. */
function securityOf(access: Access | undefined): Record<string, string[]>[] {
  if (access === 'public') return [];
  return access === 'session:own' ? [{ session: [] }] : [{ session: [] }, { token: [] }];
}

const idempotencyHeader = {
  type: 'object',
  properties: { 'idempotency-key': { type: 'string', minLength: 1, maxLength: MAX_KEY_LENGTH } },
};

const problemResponse = {
  description: 'A problem document (RFC 9457)',
  content: { 'application/problem+json': { schema: problemReference } },
};
