import type { RefObject } from "preact";
import { useEffect, useRef, useState } from "preact/hooks";

/** The width of an element in CSS pixels, and again whenever it changes. */
export function useWidth(): [RefObject<HTMLDivElement | null>, number] {
  const box = useRef<HTMLDivElement>(null);
  const [widthPx, setWidthPx] = useState(640);
  useEffect(() => {
    const element = box.current;
    if (!element) return;
    const measure = () => {
      if (element.clientWidth > 0) setWidthPx(element.clientWidth);
    };
    measure();
    const observer = new ResizeObserver(measure);
    observer.observe(element);
    return () => observer.disconnect();
  }, []);
  return [box, widthPx];
}
