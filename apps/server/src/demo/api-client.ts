import type { Problem } from '@syncline/contract';

/** One person's way to the API, as a browser has it: a cookie once signed in, and the origin of the pages. */
export class ApiClient {
  private readonly baseUrl: string;
  private cookie: string | undefined;

  constructor(baseUrl: string) {
    this.baseUrl = baseUrl;
  }

  get<T>(path: string): Promise<T> {
    return this.send('GET', path);
  }

  post<T>(path: string, body: unknown): Promise<T> {
    return this.send('POST', path, JSON.stringify(body), 'application/json');
  }

  put<T>(path: string, body: unknown): Promise<T> {
    return this.send('PUT', path, JSON.stringify(body), 'application/json');
  }

  patch<T>(path: string, body: unknown): Promise<T> {
    return this.send('PATCH', path, JSON.stringify(body), 'application/json');
  }

  upload<T>(path: string, bytes: Uint8Array<ArrayBuffer>): Promise<T> {
    return this.send('POST', path, bytes, 'application/octet-stream');
  }

  private async send<T>(
    method: string,
    path: string,
    body?: string | Uint8Array<ArrayBuffer>,
    mediaType?: string,
  ): Promise<T> {
    const response = await fetch(`${this.baseUrl}/api/v1${path}`, {
      method,
      body,
      headers: {
        origin: this.baseUrl,
        ...(mediaType && { 'content-type': mediaType }),
        ...(this.cookie && { cookie: this.cookie }),
      },
    });
    this.cookie = response.headers.getSetCookie()[0]?.split(';')[0] ?? this.cookie;
    if (!response.ok) throw new Error(describe(method, path, (await response.json()) as Problem));
    return (await response.json()) as T;
  }
}

function describe(method: string, path: string, problem: Problem): string {
  const findings = problem.findings?.map((finding) => `${finding.where}: ${finding.message}`) ?? [];
  return [`${method} ${path}: ${problem.status} ${problem.code}, ${problem.detail}`, ...findings].join('\n');
}
