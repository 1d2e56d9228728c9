import helmet from "helmet";

/**
 * What a browser is told to keep to: everything from this server and nothing written into a page.
 *
 * Over plain HTTP, and a tablet in the shop has nothing else, a page that asks for encrypted transport stays blank: so
 * no transport security, and no isolation headers that a browser heeds on secure pages only.
 */
export const headers = helmet({
  contentSecurityPolicy: {
    useDefaults: false,
    directives: {
      "default-src": ["'self'"],
      // Compiled kernels of the decoders.
      "script-src": ["'self'", "'wasm-unsafe-eval'"],
      "connect-src": ["'self'"],
      "img-src": ["'self'", "data:", "blob:"],
      "object-src": ["'none'"],
      "base-uri": ["'none'"],
      "form-action": ["'self'"],
      "frame-ancestors": ["'none'"],
    },
  },
  strictTransportSecurity: false,
  crossOriginOpenerPolicy: false,
  originAgentCluster: false,
  referrerPolicy: { policy: "no-referrer" },
  xFrameOptions: { action: "deny" },
});
