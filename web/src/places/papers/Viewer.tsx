// One paper as it will print: the browser's own PDF view, or a picture.
import { useEffect, useState } from "preact/hooks";
import { blob, query } from "../../api/client";
import { fail, state } from "../../api/store";
import type { Paper } from "../../model/papers";

function useFile(path: string): string {
  const [url, setUrl] = useState("");
  const serial = state.value?.plan.serial;
  useEffect(() => {
    let made = "";
    let over = false;
    setUrl("");
    blob(`/api/file${query({ path })}`).then((data) => {
      if (over) return;
      // The kind is said here, so that a PDF is shown as one whatever the answer calls it.
      const type = path.endsWith(".pdf") ? "application/pdf" : "image/svg+xml";
      made = URL.createObjectURL(new Blob([data], { type }));
      setUrl(made);
    }, fail);
    return () => {
      over = true;
      if (made) URL.revokeObjectURL(made);
    };
  }, [path, serial]);
  return url;
}

export function Viewer({ paper }: { paper: Paper }) {
  const url = useFile(paper.path);
  const name = paper.path.replace(/^.*\//, "");
  const isPdf = paper.path.endsWith(".pdf");
  return (
    <section class="viewer" aria-label={paper.title}>
      <header>
        <h1>{paper.title}</h1>
        {url && (
          <>
            <a href={url} target="_blank" rel="noopener">
              Open by itself
            </a>
            <a class="button" href={url} download={name}>
              ↓ {name}
            </a>
          </>
        )}
      </header>
      {url === "" ? (
        <p class="quiet">Fetching …</p>
      ) : isPdf && navigator.pdfViewerEnabled ? (
        <iframe src={`${url}#navpanes=0&view=FitH`} title={`${paper.title}, ${name}`} />
      ) : isPdf ? (
        <p class="alone">
          This browser does not show PDF within a page. <a href={url} download={name}>Save {name}</a> and open it from there.
        </p>
      ) : (
        <div class="drawn">
          <img src={url} alt={`${paper.title}: ${paper.what}`} />
        </div>
      )}
    </section>
  );
}
