// Reads a QR code from the camera: by the browser's own detector, else by the decoder that is sent along.

const PAUSE = 150;

async function reader(decoder) {
  const formats = "BarcodeDetector" in window ? await window.BarcodeDetector.getSupportedFormats() : [];
  if (formats.includes("qr_code")) {
    const detector = new window.BarcodeDetector({ formats: ["qr_code"] });
    return async (video) => (await detector.detect(video))[0]?.rawValue;
  }
  const { decodeQR } = await import(decoder);
  const canvas = document.createElement("canvas");
  const pen = canvas.getContext("2d", { willReadFrequently: true });
  return async (video) => {
    canvas.width = video.videoWidth;
    canvas.height = video.videoHeight;
    pen.drawImage(video, 0, 0);
    try {
      return decodeQR(pen.getImageData(0, 0, canvas.width, canvas.height));
    } catch {
      return undefined; // no code in this picture
    }
  };
}

// Returns the text of the first code seen, or null when `signal` says stop. Throws where no camera may be used.
export async function scan(video, decoder, signal) {
  const stream = await navigator.mediaDevices.getUserMedia({ video: { facingMode: "environment", width: { ideal: 1280 } } });
  try {
    const read = await reader(decoder);
    video.srcObject = stream;
    await video.play();
    while (!signal.aborted) {
      const text = await read(video);
      if (text) return text;
      await new Promise((next) => setTimeout(next, PAUSE));
    }
    return null;
  } finally {
    for (const track of stream.getTracks()) track.stop();
    video.srcObject = null;
  }
}
