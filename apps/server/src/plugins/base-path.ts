import type { IncomingMessage } from 'node:http';

/**
 * Takes the base path off the addresses that are asked, so that routes need not know of it. A reverse proxy may pass
 * the path on or take it off: both work, for what comes without it is left as it is.
 */
export function createUrlRewriter(basePath: string): (request: IncomingMessage) => string {
  const withoutSlash = basePath.slice(0, -1);
  return ({ url = '/' }) => {
    if (basePath === '/') return url;
    if (url.startsWith(basePath)) return url.slice(withoutSlash.length);
    const rest = url.slice(withoutSlash.length);
    return url.startsWith(withoutSlash) && (rest === '' || rest.startsWith('?')) ? `/${rest}` : url;
  };
}

/** Cookies that none but our own pages get and nobody else may set. */
export interface CookieScope {
  /** Begins the name of each cookie. */
  readonly prefix: string;
  readonly path: string;
  readonly isSecure: boolean;
}

/**
 * Over HTTPS a prefix of the name makes browsers refuse a cookie that was set without `Secure`, and with `__Host-` one
 * set by another host of the same domain; `__Host-` cookies hold for all of a host, so that below a path it is
 * `__Secure-` (RFC 6265bis, 4.1.3).
 */
export function cookieScope({ isHttps, basePath }: { isHttps: boolean; basePath: string }): CookieScope {
  if (!isHttps) return { prefix: '', path: basePath, isSecure: false };
  return { prefix: basePath === '/' ? '__Host-' : '__Secure-', path: basePath, isSecure: true };
}
