import { test as bare, expect } from "@playwright/test";
import { watch } from "./test.ts";

// Without our own fixtures, which would take these planted faults for real ones.
bare("what no page may do is seen by the tests", async ({ context, page }) => {
  const faults = watch(context);
  const served = (body: string, policy = "") => ({
    contentType: "text/html",
    headers: policy === "" ? {} : { "content-security-policy": policy },
    body: `<!doctype html><title>planted</title><link rel="icon" href="data:,">${body}`,
  });
  await context.route("http://127.0.0.1:9/**", (route) => {
    const path = new URL(route.request().url()).pathname;
    switch (path) {
      case "/inline":
        return route.fulfill(served("<script>planted = 1</script>", "default-src 'self'"));
      case "/throws":
        return route.fulfill(served("<script>throw new Error('planted')</script>"));
      case "/outside":
        return route.fulfill(served('<img src="http://wheelgram.example/planted.png" alt="">'));
      case "/missing":
        return route.fulfill(served('<img src="/gone.png" alt="">'));
      case "/gone.png":
        return route.fulfill({ status: 404 });
      default:
        return route.fulfill(served("<p>sound</p>"));
    }
  });
  const seen = async (path: string) => {
    const before = faults.length;
    await page.goto(`http://127.0.0.1:9${path}`, { waitUntil: "load" });
    await page.waitForTimeout(100); // the console speaks a little later
    return faults.slice(before).join("\n");
  };
  expect(await seen("/sound")).toBe("");
  expect(await seen("/inline")).toMatch(/Content Security Policy/);
  expect(await seen("/throws")).toMatch(/script: planted/);
  expect(await seen("/outside")).toMatch(/leaves the machine: http:\/\/wheelgram\.example\/planted\.png/);
  expect(await seen("/missing")).toMatch(/404/);
});
