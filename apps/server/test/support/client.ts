import type { InjectOptions, LightMyRequestResponse } from 'fastify';
import { PUBLIC_URL, type TestServer } from './server.js';

type Method = 'GET' | 'HEAD' | 'OPTIONS' | 'POST' | 'PUT' | 'PATCH' | 'DELETE';

/** A person's browser, or that of no one without a cookie; with a token, a program of that person. */
export class Client {
  private readonly server: TestServer;
  readonly cookie: string | undefined;
  readonly personId: string | undefined;
  readonly token: string | undefined;

  constructor(server: TestServer, cookie?: string, personId?: string, token?: string) {
    this.server = server;
    this.cookie = cookie;
    this.personId = personId;
    this.token = token;
  }

  /** A program of the same person. */
  withToken(token: string): Client {
    return new Client(this.server, undefined, this.personId, token);
  }

  get(path: string, headers: Record<string, string> = {}): Promise<LightMyRequestResponse> {
    return this.send('GET', path, undefined, headers);
  }

  post(path: string, body?: unknown, headers: Record<string, string> = {}): Promise<LightMyRequestResponse> {
    return this.send('POST', path, body, headers);
  }

  put(path: string, body: unknown): Promise<LightMyRequestResponse> {
    return this.send('PUT', path, body);
  }

  patch(path: string, body: unknown): Promise<LightMyRequestResponse> {
    return this.send('PATCH', path, body);
  }

  delete(path: string): Promise<LightMyRequestResponse> {
    return this.send('DELETE', path);
  }

  /** A page of the web, or any other whole path. */
  page(path: string, headers: Record<string, string> = {}): Promise<LightMyRequestResponse> {
    return this.server.app.inject({
      method: 'GET',
      url: path,
      headers: { ...(this.cookie && { cookie: this.cookie }), ...headers },
    });
  }

  /** A path of /api/v1 unless it begins with /api. */
  send(
    method: Method,
    path: string,
    body?: unknown,
    headers: Record<string, string> = {},
  ): Promise<LightMyRequestResponse> {
    const options: InjectOptions = {
      method,
      url: path.startsWith('/api') ? path : `/api/v1${path}`,
      headers: {
        ...(this.token ? { authorization: `Bearer ${this.token}` } : { origin: PUBLIC_URL }),
        ...(this.cookie && { cookie: this.cookie }),
        ...headers,
      },
      payload: body as InjectOptions['payload'],
    };
    return this.server.app.inject(options);
  }

  upload(
    vehicleId: string,
    bytes: string | Buffer,
    query: Record<string, string> = {},
  ): Promise<LightMyRequestResponse> {
    const search = new URLSearchParams({ vehicle: vehicleId, fileName: 'drive.csv', ...query });
    return this.post(`/logs?${search}`, bytes, { 'content-type': 'application/octet-stream' });
  }
}

/** The client whose sign-in this answer began. */
export function clientOf(server: TestServer, response: LightMyRequestResponse): Client {
  const cookie = response.cookies[0];
  if (!cookie) throw new Error(`no sign-in in ${response.statusCode} ${response.body}`);
  return new Client(server, `${cookie.name}=${cookie.value}`, response.json().person.id);
}
