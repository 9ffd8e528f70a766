import { connect, createServer, type Socket } from 'node:net';

/** A bad link: hands bytes on and breaks each connection after so many of them. */
export interface CuttingProxy {
  readonly baseUrl: string;
  /** Connections that it broke. */
  readonly cutCount: number;
  /** Bytes that it has handed on towards the server. */
  readonly passedBytes: number;
  /** Where the server is now; it may come back at another port. */
  target: string;
  /** Bytes towards the server after which a connection breaks; none when infinite. */
  cutAfterBytes: number;
  /** Pause after each piece that a connection hands on towards the server; 0 for none (ms). */
  pauseMs: number;
  /** Breaks every connection that there is. */
  cutAll(): void;
  close(): Promise<void>;
}

/** Listens on this computer. What was on its way when it breaks a connection is lost, as it is on a real link. */
export async function startCuttingProxy(
  target: string,
  cutAfterBytes = Number.POSITIVE_INFINITY,
): Promise<CuttingProxy> {
  const sockets = new Set<Socket>();
  const keep = (socket: Socket) => {
    sockets.add(socket);
    socket.on('error', () => undefined).once('close', () => sockets.delete(socket));
    return socket;
  };
  let cutCount = 0;
  let allPassedBytes = 0;
  const server = createServer((client) => {
    const { hostname, port } = new URL(proxy.target);
    const upstream = keep(connect(Number(port), hostname));
    keep(client);
    let passedBytes = 0;
    client.on('data', (chunk: Buffer) => {
      const part = chunk.subarray(0, proxy.cutAfterBytes - passedBytes);
      passedBytes += part.length;
      allPassedBytes += part.length;
      if (!upstream.write(part) || proxy.pauseMs > 0) client.pause();
      if (proxy.pauseMs > 0) setTimeout(() => client.resume(), proxy.pauseMs);
      if (passedBytes < proxy.cutAfterBytes) return;
      cutCount += 1;
      client.destroy();
      upstream.destroy();
    });
    upstream.on('drain', () => client.resume());
    upstream.pipe(client);
    client.once('close', () => upstream.destroy());
    upstream.once('close', () => client.destroy());
  });
  await new Promise<void>((resolve) => server.listen(0, '127.0.0.1', resolve));
  const { port } = server.address() as { port: number };
  const proxy: CuttingProxy = {
    baseUrl: `http://127.0.0.1:${port}`,
    get cutCount() {
      return cutCount;
    },
    get passedBytes() {
      return allPassedBytes;
    },
    target,
    cutAfterBytes,
    pauseMs: 0,
    cutAll: () => {
      for (const socket of sockets) socket.destroy();
    },
    close: () => {
      for (const socket of sockets) socket.destroy();
      return new Promise((resolve) => server.close(() => resolve()));
    },
  };
  return proxy;
}
