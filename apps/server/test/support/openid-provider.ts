import { createHash, generateKeyPairSync, type KeyObject, randomUUID, sign } from 'node:crypto';
import { createServer, type IncomingMessage, type ServerResponse } from 'node:http';
import type { AddressInfo } from 'node:net';
import { text } from 'node:stream/consumers';

/** What the provider says of whoever signs in at it. */
export interface Identity {
  readonly sub: string;
  readonly email?: string;
  readonly email_verified?: boolean;
  readonly name?: string;
}

interface Grant {
  readonly nonce: string;
  readonly challenge: string;
  readonly redirectUri: string;
}

const CLIENT = { id: 'syncline', secret: 'kept between server and provider' };
const KEY_ID = 'key-1';

/**
 * A small OpenID provider over real HTTP: discovery, authorization endpoint that asks nothing, token endpoint that checks
 * client, redirect address and PKCE, keys, and an id token signed with RS256 (OpenID Connect Core 1.0, 3.1; RFC 7636).
 */
export class OpenIdProvider {
  identity: Identity = { sub: 'subject-1', email: 'thrift@club.test', email_verified: true, name: 'Thrift' };
  /** Claims that take the place of the right ones. */
  forged: Record<string, unknown> = {};
  /** Signs with a key that is not among the published ones. */
  hasStolenName = false;
  readonly issuer: string;
  readonly #grants = new Map<string, Grant>();
  readonly #keys = generateKeyPairSync('rsa', { modulusLength: 2048 });
  readonly #foreignKeys = generateKeyPairSync('rsa', { modulusLength: 2048 });
  readonly #close: () => Promise<void>;

  private constructor(issuer: string, close: () => Promise<void>) {
    this.issuer = issuer;
    this.#close = close;
  }

  static async start(): Promise<OpenIdProvider> {
    let provider: OpenIdProvider | undefined;
    const server = createServer((request, response) => {
      provider?.answer(request, response).catch((error: unknown) => response.writeHead(500).end(String(error)));
    });
    await new Promise<void>((resolve) => server.listen(0, '127.0.0.1', resolve));
    const { port } = server.address() as AddressInfo;
    const close = () => new Promise<void>((resolve) => server.close(() => resolve()));
    provider = new OpenIdProvider(`http://127.0.0.1:${port}`, close);
    return provider;
  }

  get settings() {
    return { issuer: this.issuer, clientId: CLIENT.id, clientSecret: CLIENT.secret, name: 'Shore accounts' };
  }

  close(): Promise<void> {
    return this.#close();
  }

  private async answer(request: IncomingMessage, response: ServerResponse): Promise<void> {
    const url = new URL(request.url ?? '', this.issuer);
    switch (url.pathname) {
      case '/.well-known/openid-configuration':
        return json(response, {
          issuer: this.issuer,
          authorization_endpoint: `${this.issuer}/authorize`,
          token_endpoint: `${this.issuer}/token`,
          jwks_uri: `${this.issuer}/keys`,
          response_types_supported: ['code'],
          subject_types_supported: ['public'],
          id_token_signing_alg_values_supported: ['RS256'],
          code_challenge_methods_supported: ['S256'],
        });
      case '/keys': {
        const key = this.#keys.publicKey.export({ format: 'jwk' });
        return json(response, { keys: [{ ...key, kid: KEY_ID, alg: 'RS256', use: 'sig' }] });
      }
      case '/authorize':
        return this.authorize(url.searchParams, response);
      case '/token':
        return this.exchange(new URLSearchParams(await text(request)), response);
      default:
        response.writeHead(404).end();
    }
  }

  private authorize(asked: URLSearchParams, response: ServerResponse): void {
    const isRight =
      asked.get('client_id') === CLIENT.id &&
      asked.get('response_type') === 'code' &&
      asked.get('scope')?.split(' ').includes('openid') &&
      asked.get('code_challenge_method') === 'S256';
    if (!isRight) return void response.writeHead(400).end();
    const code = randomUUID();
    const redirectUri = asked.get('redirect_uri') ?? '';
    this.#grants.set(code, {
      nonce: asked.get('nonce') ?? '',
      challenge: asked.get('code_challenge') ?? '',
      redirectUri,
    });
    const location = `${redirectUri}?${new URLSearchParams({ code, state: asked.get('state') ?? '' })}`;
    response.writeHead(302, { location }).end();
  }

  private exchange(form: URLSearchParams, response: ServerResponse): void {
    const grant = this.#grants.get(form.get('code') ?? '');
    this.#grants.delete(form.get('code') ?? '');
    const challenge = createHash('sha256')
      .update(form.get('code_verifier') ?? '')
      .digest('base64url');
    const isRight =
      form.get('client_id') === CLIENT.id &&
      form.get('client_secret') === CLIENT.secret &&
      form.get('redirect_uri') === grant?.redirectUri &&
      challenge === grant?.challenge;
    if (!isRight) return json(response, { error: 'invalid_grant' }, 400);
    const nowS = Math.floor(Date.now() / 1000);
    const claims = { iss: this.issuer, aud: CLIENT.id, iat: nowS, exp: nowS + 60, nonce: grant?.nonce };
    const { privateKey } = this.hasStolenName ? this.#foreignKeys : this.#keys;
    const idToken = signed({ ...claims, ...this.identity, ...this.forged }, privateKey);
    return json(response, { access_token: randomUUID(), token_type: 'Bearer', expires_in: 60, id_token: idToken });
  }
}

function signed(claims: object, key: KeyObject): string {
  const part = (value: object) => Buffer.from(JSON.stringify(value)).toString('base64url');
  const content = `${part({ alg: 'RS256', typ: 'JWT', kid: KEY_ID })}.${part(claims)}`;
  return `${content}.${sign('RSA-SHA256', Buffer.from(content), key).toString('base64url')}`;
}

function json(response: ServerResponse, body: object, status = 200): void {
  response
    .writeHead(status, { 'content-type': 'application/json', 'cache-control': 'no-store' })
    .end(JSON.stringify(body));
}
