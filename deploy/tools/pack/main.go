// Command pack compresses a file as it is served: pack FILE FOLDER writes FILE.gz and
// FILE.br into the folder. Brotli's best quality takes minutes for a few megabytes, so
// only a release asks for it.
package main

import (
	"compress/gzip"
	"flag"
	"io"
	"log"
	"os"
	"path/filepath"

	"github.com/andybalholm/brotli"
)

func main() {
	quality := flag.Int("brotli", brotli.DefaultCompression, "quality of brotli, 0 to 11")
	flag.Parse()
	if flag.NArg() != 2 {
		log.Fatal("usage: pack [-brotli QUALITY] FILE FOLDER")
	}
	from, to := flag.Arg(0), filepath.Join(flag.Arg(1), filepath.Base(flag.Arg(0)))
	data, err := os.ReadFile(from)
	if err != nil {
		log.Fatal(err)
	}
	write(to+".gz", data, func(w io.Writer) (io.WriteCloser, error) { return gzip.NewWriterLevel(w, gzip.BestCompression) })
	write(to+".br", data, func(w io.Writer) (io.WriteCloser, error) {
		return brotli.NewWriterOptions(w, brotli.WriterOptions{Quality: *quality, LGWin: 24}), nil
	})
}

func write(name string, data []byte, compressor func(io.Writer) (io.WriteCloser, error)) {
	file, err := os.Create(name)
	if err != nil {
		log.Fatal(err)
	}
	w, err := compressor(file)
	if err == nil {
		_, err = w.Write(data)
	}
	if err == nil {
		err = w.Close()
	}
	if err == nil {
		err = file.Close()
	}
	if err != nil {
		log.Fatal(err)
	}
}
