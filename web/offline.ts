/**
 * Lets the pages, and the cards that were open, be shown while the server is away. Only on a device that came over HTTPS:
 * a browser allows it nowhere else, and the computer itself has the server at hand.
 */
export function keepForOffline(): void {
  const isHere = /^(localhost|127\.|\[::1\])/.test(location.hostname);
  if (isHere || !globalThis.isSecureContext || !("serviceWorker" in navigator)) return;
  // A certificate that the browser only put up with is not enough for it; then there is no page without the server.
  navigator.serviceWorker.register("/offline.js").catch(() => undefined);
}
