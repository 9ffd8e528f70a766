type Body = string | Uint8Array<ArrayBuffer> | Blob;

/** One person's way to a running server: keeps the cookie of a sign-in. */
export class Api {
  readonly baseUrl: string;
  readonly #address: string | undefined;
  #cookie: string | undefined;

  /** With an address, requests say that they come from there: for a server that trusts this machine as its proxy. */
  constructor(baseUrl: string, address?: string) {
    this.baseUrl = baseUrl;
    this.#address = address;
  }

  /** What a browser of that person would send along. */
  get cookie(): string {
    return this.#cookie ?? '';
  }

  /** The same person on the same data, after the server has been started anew elsewhere. */
  movedTo(baseUrl: string): Api {
    const moved = new Api(baseUrl, this.#address);
    moved.#cookie = this.#cookie;
    return moved;
  }

  get<T>(path: string): Promise<T> {
    return this.#json<T>('GET', path);
  }

  /** With a key the server does it once, however often it is asked. */
  post<T>(path: string, body: unknown, idempotencyKey?: string): Promise<T> {
    const more: Record<string, string> = idempotencyKey === undefined ? {} : { 'idempotency-key': idempotencyKey };
    return this.#json<T>('POST', path, JSON.stringify(body), 'application/json', more);
  }

  put<T>(path: string, body: unknown): Promise<T> {
    return this.#json<T>('PUT', path, JSON.stringify(body), 'application/json');
  }

  patch<T>(path: string, body: unknown): Promise<T> {
    return this.#json<T>('PATCH', path, JSON.stringify(body), 'application/json');
  }

  upload<T>(path: string, bytes: Uint8Array<ArrayBuffer> | Blob): Promise<T> {
    return this.#json<T>('POST', path, bytes, 'application/octet-stream');
  }

  /** Sends a file by the tus protocol in one piece. */
  async sendWhole(vehicleId: string, bytes: Uint8Array<ArrayBuffer>, fileName = 'drive.csv'): Promise<void> {
    const metadata = `vehicle ${btoa(vehicleId)},fileName ${btoa(fileName)}`;
    const begin = { 'tus-resumable': '1.0.0', 'upload-length': `${bytes.length}`, 'upload-metadata': metadata };
    const { headers } = await this.#send('POST', '/uploads', undefined, undefined, begin);
    const goOn = { 'tus-resumable': '1.0.0', 'upload-offset': '0' };
    await this.#send('PATCH', `/${headers.get('location')}`, bytes, 'application/offset+octet-stream', goOn);
  }

  async bytes(path: string): Promise<Uint8Array> {
    return new Uint8Array(await (await this.#send('GET', path)).arrayBuffer());
  }

  async #json<T>(
    method: string,
    path: string,
    body?: Body,
    type?: string,
    more?: Readonly<Record<string, string>>,
  ): Promise<T> {
    return (await (await this.#send(method, path, body, type, more)).json()) as T;
  }

  /** Sends one request; throws with the problem document when it is refused. */
  async #send(
    method: string,
    path: string,
    body?: Body,
    type?: string,
    more: Readonly<Record<string, string>> = {},
  ): Promise<Response> {
    const headers: Record<string, string> = { origin: this.baseUrl, ...more };
    if (type !== undefined) headers['content-type'] = type;
    if (this.#cookie !== undefined) headers.cookie = this.#cookie;
    if (this.#address !== undefined) headers['x-forwarded-for'] = this.#address;
    const init: RequestInit = { method, headers };
    if (body !== undefined) init.body = body;
    const response = await fetch(`${this.baseUrl}/api/v1${path}`, init);
    this.#cookie = response.headers.getSetCookie()[0]?.split(';')[0] ?? this.#cookie;
    if (!response.ok) throw new Error(`${method} ${path}: ${response.status} ${await response.text()}`);
    return response;
  }
}
